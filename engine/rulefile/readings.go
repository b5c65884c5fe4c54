package rulefile

import (
	"math"
	"strings"

	"culprit/engine/quantity"
	"culprit/engine/source"
	"culprit/engine/truth"
)

// resolveReadings makes the readings and the scope, then compiles what derives them.
func (l *loader) resolveReadings() {
	scope := make([]truth.Reading, len(l.readings.raw))
	for i, e := range l.readings.raw {
		r := l.readings.things[i]
		before := len(l.Problems)
		r.ID, r.Index, r.At = e.ID, i, e.At.Pos
		l.resolveReading(r, e)
		if !e.Set || refused(e.V.kind) || refused(e.V.unit) || refused(e.V.among) || len(l.Problems) > before {
			l.broken[e.ID] = true
		}
		scope[i] = truth.Reading{ID: r.ID, Kind: r.Kind, Unit: r.Unit, Among: r.Among}
	}
	l.pack.Scope = truth.NewScope(scope)
	for i, e := range l.readings.raw {
		r := l.readings.things[i]
		if e.V.from.Set && (r.Kind == truth.Number || r.Kind == truth.YesNo) {
			r.From = l.compile(e.V.from, r.Kind, truth.InDerived)
		}
	}
	l.refuseOtherUnits()
	l.refuseCycles()
	for i, r := range l.readings.things {
		if r.From != nil {
			l.pack.Scope.Derive(i, r.From)
		}
	}
}

func (l *loader) resolveReading(r *Reading, e *source.Entry[rawReading]) {
	raw := &e.V
	r.Label, r.Doc, r.How, r.Excuses = raw.label.V, raw.doc.V, raw.how.V, excuses(raw.excuse)
	r.FromText, r.FromAt = raw.from.V, raw.from.Spot
	if truth.Reserved(e.ID) {
		l.At(e.At, "%q is a word of expressions and cannot be a reading", e.ID)
	}
	r.Kind, _ = truth.ParseKind(raw.kind.V)
	if refused(raw.kind) {
		return // whatever else stands there may be right for the kind that was meant
	}
	measured := r.Kind == truth.Number || r.Kind == truth.Trace
	l.only(measured, raw, raw.unit.Spot, "unit", "a number or a trace")
	l.only(measured, raw, raw.plausible.Spot, "plausible", "a number or a trace")
	l.only(measured, raw, raw.accuracy.Spot, "accuracy", "a number or a trace")
	l.only(r.Kind == truth.Choice, raw, raw.among.Spot, "among", "a choice")
	l.only(r.Kind == truth.YesNo, raw, raw.assume.Spot, "assume", "a yes/no reading")
	l.only(r.Kind == truth.YesNo, raw, raw.setUp.Spot, "set_up", "a yes/no reading")
	l.only(r.Kind == truth.YesNo || r.Kind == truth.Number, raw, raw.from.Spot, "from", "a number or a yes/no reading")
	if r.Kind == truth.Choice {
		l.resolveAmong(r, e)
	}
	if measured {
		l.resolveMeasured(r, raw)
	}
	if raw.assume.Set {
		r.Assume = &raw.assume.V
		if raw.from.Set {
			l.At(raw.assume.Spot, "%q is worked out from an expression, so nothing is assumed of it", e.ID)
		}
	}
	if raw.setUp.Set {
		r.SetUp = &SetUp{MustBe: raw.setUp.V.mustBe.V, Do: raw.setUp.V.do.V, Minutes: raw.setUp.V.minutes.V, Stays: raw.setUp.V.stays.V}
	}
}

// refused reports whether a key is there and its value was reported as wrong.
func refused[V any](g source.Got[V]) bool { return g.Line > 0 && !g.Set }

// only refuses a key that a reading of this kind cannot have.
func (l *loader) only(ok bool, raw *rawReading, at source.Spot, key, belongs string) {
	switch {
	case ok || at.Line == 0:
	case raw.kind.Set:
		l.At(at, "%q belongs to %s, and this reading's kind is %s", key, belongs, raw.kind.V)
	default:
		l.At(at, "%q belongs to %s, and this reading is a number", key, belongs).Hint = "a reading without \"kind\" is a number"
	}
}

func (l *loader) resolveAmong(r *Reading, e *source.Entry[rawReading]) {
	among := e.V.among
	if among.Line == 0 {
		l.At(e.At, "reading %q is a choice and has no %q", e.ID, "among")
		return
	}
	first := make(map[string]source.Spot)
	for _, w := range among.V {
		if before, twice := first[w.V]; twice {
			l.At(w.Spot, "%q stands here twice", w.V).Other = &before.Pos
			continue
		}
		first[w.V] = w.Spot
		r.Among = append(r.Among, w.V)
	}
	if among.Set && len(among.V) == 1 {
		l.At(among.V[0].Spot, "a choice among one word is no choice")
	}
}

func (l *loader) resolveMeasured(r *Reading, raw *rawReading) {
	if raw.unit.Set {
		u, err := quantity.ParseUnit(raw.unit.V)
		if err != nil {
			text, hint := inWords(err)
			l.At(raw.unit.Spot, "%s", text).Hint = hint
			return
		}
		r.Unit = u
	}
	if raw.plausible.Set {
		l.resolvePlausible(r, raw.plausible)
	}
	if raw.accuracy.Set {
		a := raw.accuracy.V
		if a.within.Line == 0 && a.percent.Line == 0 {
			l.At(raw.accuracy.Spot, "accuracy wants %q, %q or both", "within", "percent")
		}
		within, ok := l.inUnit(a.within, r.Unit, difference)
		if ok && within < 0 {
			l.At(a.within.Spot, "%q is a distance and cannot be below zero", "within")
		}
		r.Accuracy = quantity.Limits{Within: within, Percent: a.percent.V}
	}
}

func (l *loader) resolvePlausible(r *Reading, got source.Got[rawRange]) {
	raw := got.V
	if raw.from.Line == 0 && raw.to.Line == 0 {
		l.At(got.Spot, "plausible wants %q, %q or both", "from", "to")
		return
	}
	p := truth.Range{From: math.Inf(-1), To: math.Inf(1)}
	from, okFrom := l.inUnit(raw.from, r.Unit, value)
	to, okTo := l.inUnit(raw.to, r.Unit, value)
	if okFrom {
		p.From = from
	}
	if okTo {
		p.To = to
	}
	if p.From >= p.To {
		l.At(raw.from.Spot, "%q is not below %q", "from", "to")
	}
	r.Plausible = &p
}

// inUnit gives a figure in a unit; false when it was not given, was refused or does not fit (reported).
func (l *loader) inUnit(q source.Got[quantity.Quantity], u quantity.Unit, as measure) (float64, bool) {
	if !q.Set {
		return 0, false
	}
	v, err := as(q.V, u)
	if err != nil {
		text, hint := inWords(err)
		l.At(q.Spot, "%s", text).Hint = hint
		return 0, false
	}
	return v, true
}

// refuseCycles reports cycles of derived readings, each where the expression of its first reading names the next.
func (l *loader) refuseCycles() {
	const (
		fresh = iota
		open
		closed
	)
	state := make([]int, len(l.readings.things))
	var path []int
	var visit func(i int)
	visit = func(i int) {
		state[i] = open
		path = append(path, i)
		if e := l.readings.things[i].From; e != nil {
			for _, next := range e.Reads() {
				switch state[next] {
				case fresh:
					visit(next)
				case open:
					l.reportCycle(path, next)
				}
			}
		}
		path = path[:len(path)-1]
		state[i] = closed
	}
	for i := range state {
		if state[i] == fresh {
			visit(i)
		}
	}
}

// A cycle is shown with at most maxCycle readings.
const maxCycle = 10

// reportCycle reports the readings of path from again on, which lead back to it.
func (l *loader) reportCycle(path []int, again int) {
	for path[0] != again {
		path = path[1:]
	}
	ids := make([]string, 0, len(path)+1)
	for _, i := range path {
		ids = append(ids, l.readings.things[i].ID)
	}
	first := l.readings.things[again]
	next := ids[0]
	if len(ids) > 1 {
		next = ids[1]
	}
	offset, width := 0, 1
	for _, at := range names().FindAllStringIndex(first.FromText, -1) {
		if first.FromText[at[0]:at[1]] == next {
			offset, width = at[0], len(next)
			break
		}
	}
	if len(ids) > maxCycle {
		ids = append(ids[:maxCycle-1], "…")
	}
	l.Within(first.FromAt, offset, width, "%q is worked out from itself: %s", first.ID, strings.Join(append(ids, first.ID), " -> "))
}
