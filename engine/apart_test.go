package engine

import (
	"math"
	"slices"
	"testing"
)

// twins has two faults that one reading alone tells apart, two that nothing does,
// and rules that speak only of cars that are not ready.
const twins = `
readings:
  ready: {label: R, kind: yes/no, set_up: {must_be: yes, do: D}}
  hot: {label: H, unit: V, plausible: {from: 0, to: 20}}
  cold: {label: C, unit: V, plausible: {from: 0, to: 20}}
  gap: {label: G, unit: V, from: hot - cold}
  seen: {label: S, kind: yes/no}
  never_taken: {label: N, kind: yes/no}
conditions:
  heat: {label: Heat, states: {up: U}, of_itself: {up: 0.1}}
faults:
  one: {label: One, per_1000: 10, brings: [{condition: heat, state: up, how_often: 0.8}]}
  two: {label: Two, per_1000: 20, brings: [{condition: heat, state: up, how_often: 0.8}]}
  three: {label: Three, per_1000: 30}
  four: {label: Four, per_1000: 40, brings: [{condition: heat, state: up, how_often: 0.9, given: not ready}]}
rules:
  gap-wide: {says: A, when: gap > 5, shows: {heat.up: 0.9}, otherwise: 0.2, because: B}
  it-is-seen: {says: A, given: ready, when: seen, shows: {three: 0.6}, otherwise: 0.1, because: B}
  not-ready: {says: A, given: not ready, when: seen, shows: {one: 0.9}, otherwise: 0.1, because: B}
  hot-not-taken: {says: A, given: not known(hot), when: cold < 1, shows: {one: 0.9}, otherwise: 0.1, because: B}
  never-taken: {says: A, given: not known(never_taken) and hot > 3, when: cold < 1, shows: {four: 0.9}, otherwise: 0.1, because: B}
  never-so: {says: A, given: hot > 5 and hot < 3, when: cold < 1, shows: {four: 0.9}, otherwise: 0.1, because: B}
  no-check: {says: A, when: never_taken, shows: {one: 0.9}, otherwise: 0.1, because: B}
checks:
  hot-end: {label: Hot, yields: [hot], minutes: 1}
  cold-end: {label: Cold, yields: [cold], minutes: 1}
  look: {label: Look, yields: [seen], minutes: 1}
`

func TestApart(t *testing.T) {
	p := tiny(t, twins)
	a, err := p.Apart(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	if want := []string{"gap-wide", "it-is-seen", "never-taken"}; !slices.Equal(a.Counted, want) {
		t.Errorf("rules counted: %v, want %v", a.Counted, want)
	}
	if want := []string{"not-ready", "hot-not-taken", "never-so", "no-check"}; !slices.Equal(a.LeftOut, want) {
		t.Errorf("rules left out: %v, want %v", a.LeftOut, want)
	}
	if len(a.Groups) != 1 || !slices.Equal(a.Groups[0], []string{"one", "two"}) {
		t.Errorf("groups: %v", a.Groups)
	}
	if len(a.Pairs) != 6 || a.Pairs[0].Faults != [2]string{"one", "two"} || a.Pairs[0].Most() != 0 || a.Pairs[0].Best != nil {
		t.Errorf("%d pairs, the closest is %+v", len(a.Pairs), a.Pairs[0])
	}
	// By hand. The gap is wide with 0.8*0.9 + 0.2*0.2 = 0.76 given one, and with
	// 0.1*0.9 + 0.9*0.2 = 0.27 given three; it is seen with 0.1 and 0.6.
	kl := func(p, q float64) float64 {
		return 10 * (p*math.Log10(p/q) + (1-p)*math.Log10((1-p)/(1-q)))
	}
	x := pairOf(t, a, "one", "three")
	for _, c := range []struct {
		because   string
		got, want float64
	}{
		{"all checks, one present", *x.FirstOverSecond.Least, kl(0.76, 0.27) + kl(0.1, 0.6)},
		{"all checks, three present", *x.SecondOverFirst.Least, kl(0.27, 0.76) + kl(0.6, 0.1)},
		{"the look alone, one present", *x.Best.FirstOverSecond.Least, kl(0.1, 0.6)},
		{"the look alone, three present", *x.Best.SecondOverFirst.Least, kl(0.6, 0.1)},
	} {
		if math.Abs(c.got-c.want) > 1e-12*c.want {
			t.Errorf("%s: %v decibans, by hand %v", c.because, c.got, c.want)
		}
	}
	if !x.FirstOverSecond.Exact() || x.Best.Check != "look" || x.Best.With != nil {
		t.Errorf("one and three: %+v, best %+v", x, x.Best)
	}
	// That only a reading of two checks tells two faults apart is said.
	p = tiny(t, `
readings:
  hot: {label: H, unit: V}
  cold: {label: C, unit: V}
faults: {one: {label: One, per_1000: 10}, two: {label: Two, per_1000: 10}}
rules:
  gap-wide: {says: A, when: hot - cold > 5, shows: {one: 0.9}, otherwise: 0.1, because: B}
checks:
  hot-end: {label: Hot, yields: [hot], minutes: 1}
  cold-end: {label: Cold, yields: [cold], minutes: 1}
`)
	if a, err = p.Apart(t.Context()); err != nil {
		t.Fatal(err)
	}
	if b := a.Pairs[0].Best; b == nil || b.Check != "hot-end" || !slices.Equal(b.With, []string{"cold-end"}) || math.Abs(b.Least()-kl(0.9, 0.1)) > 1e-12 {
		t.Errorf("best check: %+v", b)
	}
}

func pairOf(t *testing.T, a *Apart, first, second string) *Pair {
	t.Helper()
	for i := range a.Pairs {
		if a.Pairs[i].Faults == [2]string{first, second} {
			return &a.Pairs[i]
		}
	}
	t.Fatalf("no pair %s, %s", first, second)
	return nil
}

// TestShippedPacksTellApart: in the shipped packs some check tells every two
// faults apart, better than the threshold.
func TestShippedPacksTellApart(t *testing.T) {
	for _, name := range ShippedPacks() {
		p, err := Open(Sources{Pack: name})
		if err != nil {
			t.Fatal(formatted(err))
		}
		a, err := p.Apart(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		n := len(p.Faults())
		if len(a.Groups) > 0 || len(a.Pairs) != n*(n-1)/2 {
			t.Errorf("%s: not told apart: %v; %d pairs of %d faults", name, a.Groups, len(a.Pairs), n)
		}
		for i := range a.Pairs {
			x := &a.Pairs[i]
			if x.Most() < x.Least() || x.Best == nil || x.Best.Least() > x.Most()+1e-9 {
				t.Errorf("%s: %v, best %+v", name, x, x.Best)
			}
		}
	}
}
