package engine

import "culprit/engine/truth"

// question is an expression that every job is asked. Most are about readings that the
// job has not, and those need no working out.
type question struct {
	expr  *truth.Expr
	bears readingSet  // on the answer; nil where something else may, too
	blank truth.Truth // the answer while none of those is given, and
	holds bool        // whether it certainly holds then
}

func newQuestion(e *truth.Expr, nothing *truth.Values) question {
	q := question{expr: e}
	q.blank, q.holds = e.Judge(nothing)
	if readings, figures := e.Bearing(); !figures {
		for _, i := range readings {
			q.bears = q.bears.with(i)
		}
	}
	return q
}

// asking is what a rule asks, as indexes into Pack.questions. Given is -1 where the rule
// always applies.
type asking struct{ given, when int }

// asked is the answer to a question, once somebody has asked it.
type asked struct {
	done  bool
	holds bool // certainly, with nothing in it a matter of degree
	truth truth.Truth
}

// ask answers a question of the pack.
func (p *Pack) ask(s *session, i int) (t truth.Truth, holds bool) {
	a, q := &s.asked[i], &p.questions[i]
	switch {
	case a.done:
	case q.bears != nil && !q.bears.meets(s.given):
		*a = asked{true, q.holds, q.blank}
	default:
		a.truth, a.holds = q.expr.Judge(s.values)
		a.done = true
	}
	return a.truth, a.holds
}

// questions collects what rules and links ask.
type questions struct {
	pack    *Pack
	byText  map[string]int
	nothing *truth.Values // the values of a job without readings
}

// index finds a question among those of the pack, or adds it; -1 for no question.
func (q *questions) index(e *truth.Expr) int {
	if e == nil {
		return -1
	}
	i, ok := q.byText[e.Source()]
	if !ok {
		i = len(q.pack.questions)
		q.byText[e.Source()] = i
		q.pack.questions = append(q.pack.questions, newQuestion(e, q.nothing))
	}
	return i
}

// readingSet is a set of readings, 64 a word.
type readingSet []uint64

func (r readingSet) with(i int) readingSet {
	for len(r) <= i/64 {
		r = append(r, 0)
	}
	r[i/64] |= 1 << (i % 64)
	return r
}

func (r readingSet) has(i int) bool { return i/64 < len(r) && r[i/64]>>(i%64)&1 != 0 }

func (r readingSet) meets(other readingSet) bool {
	for k := range min(len(r), len(other)) {
		if r[k]&other[k] != 0 {
			return true
		}
	}
	return false
}

// of makes it the set of the readings that are given.
func (r *readingSet) of(v *truth.Values, readings int) {
	*r = (*r)[:0]
	for i := range readings {
		if i%64 == 0 {
			*r = append(*r, 0)
		}
		if v.Given(i) {
			(*r)[i/64] |= 1 << (i % 64)
		}
	}
}
