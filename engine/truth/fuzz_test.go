package truth

import (
	"encoding/binary"
	"errors"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"
)

// seeds are the expressions of the tables.
func seeds() []string {
	all := []string{
		"warm and not closed or look == \"sooty\"", "between(abs(co - o2), 0.5, max(o2, 3)) and high(co)", "known(signal) or ok(hc)",
		"lambda(co, co2, o2, hc) + reference(ratio) * switch_rate(signal)", "toggles(signal) and trace_min(signal) < 0.4", "x > y and y > z or -z < w",
	}
	for _, rows := range [][]refusal{refusals, ruleOnly, numberRefusals} {
		for _, r := range rows {
			all = append(all, strings.NewReplacer("«", "", "»", "").Replace(r.src))
		}
	}
	for _, src := range rules() {
		all = append(all, strings.NewReplacer("number_", "x", "flag_", "warm", "word_", "look").Replace(src))
	}
	return all
}

// randomJob gives some readings, exactly or not, and leaves others out.
func randomJob(random *rand.Rand, s *Scope) *Values {
	v := s.Values()
	for i, r := range bench {
		if random.IntN(4) == 0 {
			continue
		}
		switch r.Kind {
		case Number:
			u := 0.0
			if random.IntN(2) == 0 {
				u = math.Abs(random.NormFloat64())
			}
			v.SetNumber(i, math.Round(random.NormFloat64()*20)/4, u)
			v.SetSpec(i, Spec{From: -1, To: 1, Reference: 0.5, HasFrom: random.IntN(2) == 0, HasTo: random.IntN(2) == 0, HasReference: random.IntN(2) == 0})
		case YesNo:
			v.SetYesNo(i, random.IntN(2) == 0)
		case Choice:
			v.SetChoice(i, random.IntN(len(r.Among)))
		case Trace:
			v.SetTrace(i, trace(50, 300, square(0.2+random.Float64(), 0.5, 0)), 0.01)
		}
	}
	return v
}

// FuzzCompile: no source makes the compiler panic; an error lies inside the
// source and is a sentence of ours; what compiles has a truth between 0 and 1,
// and the questions that it is shown to ask read back as what they are.
func FuzzCompile(f *testing.F) {
	for i, src := range seeds() {
		f.Add(src, uint64(i), i%2 == 0)
	}
	s := NewScope(bench)
	f.Fuzz(func(t *testing.T, src string, seed uint64, number bool) {
		want, use := YesNo, InRule
		if number {
			want = Number
		}
		if seed%2 == 1 {
			use = InDerived
		}
		e, err := s.Compile(src, want, use)
		if err != nil {
			checkError(t, src, err)
			return
		}
		v := randomJob(rand.New(rand.NewPCG(seed, 1)), s)
		e.Lacks(v)
		if number {
			if x, u, ok := e.Number(v); ok && (!finite(x) || !(u >= 0)) {
				t.Errorf("%q comes to %v with u %v", src, x, u)
			}
			return
		}
		got := e.Truth(v)
		if !(0 <= got.Least && got.Least <= got.Most && got.Most <= 1) {
			t.Errorf("%q is %v", src, got)
		}
		if again := e.Truth(v); again != got {
			t.Errorf("%q is %v, and then %v", src, got, again)
		}
		for _, c := range e.Comparisons(v) {
			if len(c.Reads) == 0 {
				t.Errorf("%q asks %q of no reading", src, c.Text)
			}
			if strings.Contains(c.Text, " is ") || !utf8.ValidString(src) {
				continue // of a choice, in words
			}
			same, err := s.Compile(c.Text, YesNo, use)
			if err != nil {
				t.Errorf("%q asks %q, which does not read back: %v", src, c.Text, err)
			} else if back := same.Truth(v); back != c.Truth {
				t.Errorf("%q asks %q, which is %v and reads back as %v", src, c.Text, c.Truth, back)
			}
		}
	})
}

func checkError(t *testing.T, src string, err error) {
	t.Helper()
	var e *Error
	if !errors.As(err, &e) {
		t.Fatalf("%q: not an error of ours: %v", src, err)
	}
	if e.Offset < 0 || e.Width < 0 || e.Offset+e.Width > len(src) {
		t.Fatalf("%q: %v lies outside, at %d+%d", src, err, e.Offset, e.Width)
	}
	for _, at := range [2]int{e.Offset, e.Offset + e.Width} {
		if utf8.ValidString(src) && at < len(src) && !utf8.RuneStart(src[at]) {
			t.Errorf("%q: %v splits a letter", src, err)
		}
	}
	first, _ := utf8.DecodeRuneInString(e.Text)
	if e.Text == "" || unicode.IsUpper(first) && !strings.Contains(src, string(first)) || strings.HasSuffix(e.Text, ".") || strings.ContainsAny(e.Text+e.Hint, "\n\r") {
		t.Errorf("%q: %q (%q) is not how messages are written", src, e.Text, e.Hint)
	}
}

// FuzzSamples: no trace makes the figures panic or come to nonsense.
func FuzzSamples(f *testing.F) {
	bytes := func(values ...float64) []byte {
		var b []byte
		for _, x := range values {
			b = binary.LittleEndian.AppendUint64(b, math.Float64bits(x))
		}
		return b
	}
	f.Add(0.05, bytes(trace(50, 60, square(1.1, 0.5, 0)).Values...))
	f.Add(0.05, bytes(trace(50, 60, square(1.1, 0.5, 0)).with(math.NaN(), 3, 4, 20, 21, 22, 23).Values...))
	f.Add(5.0, bytes(0.1, 0.1, 0.1))
	f.Add(1e-300, bytes(0.1, 0.9, 0.9, 0.1, 0.1, 0.9, 0.9))
	f.Add(1e300, bytes(0.1, 0.9, 0.9, 0.1, 0.1, 0.9, 0.9))
	f.Add(1.0, bytes(-1e308, 1e308, -1e308, 1e308, math.NaN(), math.MaxFloat64))
	f.Fuzz(func(t *testing.T, every float64, b []byte) {
		var values []float64
		for ; len(b) >= 8; b = b[8:] {
			values = append(values, math.Float64frombits(binary.LittleEndian.Uint64(b)))
		}
		s, err := NewSamples(every, values)
		if err != nil {
			return
		}
		w := s.figures()
		if !(w.least <= w.most) || !finite(w.least) || !finite(w.most) || !finite(w.mean) {
			t.Errorf("levels %v, %v, %v", w.least, w.most, w.mean)
		}
		if w.rateErr == nil && !(finite(w.rate) && w.rate >= 0 && finite(w.rateU) && w.rateU > 0) {
			t.Errorf("a rate of %v with u %v", w.rate, w.rateU)
		}
		if w.toggles && w.togglesErr != nil {
			t.Error("toggles, and cannot tell")
		}
	})
}
