package belief

import (
	"fmt"
	"math"
	"testing"
)

// Values published elsewhere. The source stands beside each; where a page was
// not at hand when the test was written it says "from memory".

func must(t *testing.T, m Model) *Network {
	t.Helper()
	n, err := New(m)
	if err != nil {
		t.Fatal(err)
	}
	return n
}

func posterior(t *testing.T, n *Network, e Evidence) *Posterior {
	t.Helper()
	p := new(Posterior)
	if err := n.Posterior(e, p); err != nil {
		t.Fatal(err)
	}
	return p
}

func around(t *testing.T, what string, got, want, by float64) {
	t.Helper()
	if !(math.Abs(got-want) <= by) {
		t.Errorf("%s: %.9g, want %.9g within %g", what, got, want, by)
	}
}

func holds(f int) Seen    { return Seen{f, []float64{1, 0}} }
func holdsNot(f int) Seen { return Seen{f, []float64{0, 1}} }

// direct is a finding that faults show.
func direct(leak float64, strengths ...float64) Finding {
	o := Outcome{Leak: leak}
	for f, s := range strengths {
		o.Faults = append(o.Faults, FromFault{f, s})
	}
	return Finding{[]Outcome{o}}
}

func faults(priors ...float64) (out []Fault) {
	for _, p := range priors {
		out = append(out, Fault{p})
	}
	return out
}

// TestFever: Russell and Norvig, "Artificial Intelligence: A Modern Approach",
// 3rd edition 2010, section 14.3 (edition and section from memory): the noisy-OR
// table for fever given cold, flu and malaria with inhibition 0.6, 0.2 and 0.1. Through a finding and through a condition's state alike.
func TestFever(t *testing.T) {
	table := []float64{0, 0.9, 0.8, 0.98, 0.4, 0.94, 0.88, 0.988} // malaria counts fastest
	m := Model{
		Faults:     faults(0.1, 0.1, 0.1),
		Conditions: []Condition{{[]float64{0}}},
		Links:      []Link{{0, 0, 0, 0.4}, {1, 0, 0, 0.8}, {2, 0, 0, 0.9}},
		Findings: []Finding{
			direct(0, 0.4, 0.8, 0.9),
			{[]Outcome{{Leak: 0, States: []Shown{{0, 0, 1}}}}},
		},
	}
	n := must(t, m)
	for row, want := range table {
		var present []int
		for f := range 3 {
			if row>>(2-f)&1 == 1 {
				present = append(present, f)
			}
		}
		for f := range m.Findings {
			got, err := n.Predict(Evidence{}, present, f)
			if err != nil {
				t.Fatal(err)
			}
			around(t, fmt.Sprintf("finding %d, row %d", f, row), got[0], want, 1e-12)
		}
	}
}

// TestFeverWithLeak: the leaky noisy-OR of a general Bayesian-network tool's
// manual, whose name is left out (its NoisyOr function: leak 0.1, two causes with
// 0.8 and 0.6); the form is that of Henrion 1989 (from memory). There a
// cause's number leaves the leak out, 1-(1-leak) prod (1-p_i), so that the plain
// conditional probabilities typed in here are its single-cause rows.
func TestFeverWithLeak(t *testing.T) {
	n := must(t, Model{Faults: faults(0.1, 0.1), Findings: []Finding{direct(0.1, 0.82, 0.64)}})
	for _, row := range []struct {
		present []int
		want    float64
	}{{nil, 0.1}, {[]int{1}, 0.64}, {[]int{0}, 0.82}, {[]int{0, 1}, 0.928}} {
		got, err := n.Predict(Evidence{}, row.present, 0)
		if err != nil {
			t.Fatal(err)
		}
		around(t, fmt.Sprint(row.present), got[0], row.want, 1e-12)
	}
}

// burglary is Pearl's alarm as in Russell and Norvig (see TestFever), figure 14.2,
// whose posteriors are printed in section 14.4 and in the tests of the book's own
// code: P(B) .001, P(E) .002, P(A|B,E) .95, P(A|B) .94, P(A|E) .29,
// P(A|neither) .001, P(J|A) .90/.05, P(M|A) .70/.01. The printed table is not a
// noisy-OR: that gives P(A|B,E) = 1-.999*(.06/.999)*(.71/.999) = .957357 in
// place of .95, which moves P(B|j,m) by 3e-7 of itself.
func burglary() Model {
	return Model{
		Faults:     faults(0.001, 0.002),
		Conditions: []Condition{{[]float64{0.001}}},
		Links:      []Link{{0, 0, 0, 0.94}, {1, 0, 0, 0.29}},
		Findings: []Finding{
			{[]Outcome{{Leak: 0.05, States: []Shown{{0, 0, 0.90}}}}},
			{[]Outcome{{Leak: 0.01, States: []Shown{{0, 0, 0.70}}}}},
			{[]Outcome{{Leak: 0, States: []Shown{{0, 0, 1}}}}},
		},
	}
}

func TestBurglary(t *testing.T) {
	n := must(t, burglary())
	const j, m, a = 0, 1, 2
	for _, row := range []struct {
		source string
		seen   []Seen
		fault  int
		want   float64
		by     float64
	}{
		// The departure from the printed table bounds the precision asked for.
		{"printed as .284; .284172 by enumeration of the printed tables", []Seen{holds(j), holds(m)}, 0, 0.284172, 2e-5},
		{"by enumeration of the printed tables", []Seen{holds(j), holds(m)}, 1, 0.176067, 5e-5},
		{"by enumeration of the printed tables", []Seen{holds(j)}, 0, 0.016284, 2e-6},
		{"by enumeration of the printed tables", []Seen{holds(m)}, 0, 0.056117, 2e-5},
		{"printed as .00513", []Seen{holds(j), holdsNot(m)}, 0, 0.005130, 2e-6},
		{"by enumeration of the printed tables", []Seen{holdsNot(j), holds(m)}, 0, 0.006876, 2e-6},
		{"by enumeration of the printed tables", []Seen{holds(a)}, 0, 0.373551, 2e-5},
		// Pearl 1988, "Probabilistic Reasoning in Intelligent Systems", section
		// 2.2.2 (from memory): a report of the alarm, four times as likely if it
		// rings; on these numbers by enumeration.
		{"virtual evidence 4:1", []Seen{{a, []float64{4, 1}}}, 0, 0.003791, 2e-6},
		{"virtual evidence .8/.2", []Seen{{a, []float64{0.8, 0.2}}}, 0, 0.003791, 2e-6},
	} {
		around(t, row.source, posterior(t, n, Evidence{Seen: row.seen}).Faults[row.fault], row.want, row.by)
	}
	around(t, "P(j,m)", math.Exp(posterior(t, n, Evidence{Seen: []Seen{holds(j), holds(m)}}).LogEvidence), 0.0020841, 1e-7)
	alarm := func(e Evidence) float64 {
		states, err := n.States(e)
		if err != nil {
			t.Fatal(err)
		}
		return states[0][0]
	}
	around(t, "P(A|j,m)", alarm(Evidence{Seen: []Seen{holds(j), holds(m)}}), 0.760692, 1e-5)
	around(t, "P(A|4:1)", alarm(Evidence{Seen: []Seen{{a, []float64{4, 1}}}}), 0.009990, 1e-6)
	// With the earthquake known, P(B|A,E) = .003268 by the printed .95; the
	// noisy-OR's .957357 gives .003294.
	e := Evidence{Seen: []Seen{holds(a)}, Faults: []KnownFault{{1, 1, 0}}}
	around(t, "P(B|A,E)", posterior(t, n, e).Faults[0], 0.001*0.957357/(0.001*0.957357+0.999*0.29), 1e-8)
}

// TestPearlsAlarm: Pearl 1988, section 2.2.2 (inputs from memory): P(B) 1e-4,
// P(A|B) .95, P(A|not B) .01; the posteriors by arithmetic.
func TestPearlsAlarm(t *testing.T) {
	n := must(t, Model{Faults: faults(1e-4), Findings: []Finding{direct(0.01, 0.95)}})
	around(t, "alarm", posterior(t, n, Evidence{Seen: []Seen{holds(0)}}).Faults[0], 0.009412, 5e-7)
	around(t, "report 4:1", posterior(t, n, Evidence{Seen: []Seen{{0, []float64{4, 1}}}}).Faults[0], 0.000374, 5e-7)
}

// TestJeffreysCloth: Jeffrey's cloth by candle light (Pearl 1988, section 2.3,
// inputs from memory): colours .3/.3/.4, P(sold|colour) .4/.4/.8; the new
// probabilities .7/.25/.05 come from likelihoods 2.3333 : .8333 : .125, and move
// P(sold) from .56 to .42. The colour is a finding with two outcomes and "none
// of them"; whether it is sold is the fault.
func TestJeffreysCloth(t *testing.T) {
	sold := []float64{0.3 * 0.4 / 0.56, 0.3 * 0.4 / 0.56} // P(colour|sold)
	not := []float64{0.3 * 0.6 / 0.44, 0.3 * 0.6 / 0.44}
	n := must(t, Model{
		Faults:     faults(0.56),
		Conditions: []Condition{{[]float64{0}}},
		Links:      []Link{{0, 0, 0, 1}},
		Findings: []Finding{{[]Outcome{
			{Leak: not[0], States: []Shown{{0, 0, sold[0]}}},
			{Leak: not[1], States: []Shown{{0, 0, sold[1]}}},
		}}},
	})
	e := Evidence{Seen: []Seen{{0, []float64{2.3333333333, 0.8333333333, 0.125}}}}
	around(t, "P(sold)", posterior(t, n, e).Faults[0], 0.42, 1e-9)
}

// TestQuickscoresNetwork: a network made up for checking Quickscore (Heckerman
// 1989), by hand and by enumeration: priors .1 and .2, P(f|d) (.8,.5), (.3,.9),
// (.4,.6), no leaks.
func TestQuickscoresNetwork(t *testing.T) {
	n := must(t, Model{Faults: faults(0.1, 0.2), Findings: []Finding{direct(0, 0.8, 0.5), direct(0, 0.3, 0.9), direct(0, 0.4, 0.6)}})
	for _, row := range []struct {
		seen       []Seen
		evidence   float64
		posteriors []float64
	}{
		{[]Seen{holds(0)}, 0.172, nil}, // .1*.8+.9*.2*.5+.1*.2*(.9-.8)
		{[]Seen{holds(0), holds(1)}, 0.11694, nil},
		{[]Seen{holds(0), holds(1), holdsNot(2)}, 0.0479376, []float64{0.324121, 0.759688}},
		{[]Seen{holds(0), holdsNot(1), holdsNot(2)}, 0.0307824, []float64{0.883050, 0.126774}},
	} {
		p := posterior(t, n, Evidence{Seen: row.seen})
		around(t, fmt.Sprint(row.seen), math.Exp(p.LogEvidence), row.evidence, 1e-12)
		for f, want := range row.posteriors {
			around(t, fmt.Sprintf("%v, fault %d", row.seen, f), p.Faults[f], want, 5e-7)
		}
	}
}

// TestDecibans: 10 log10 of the likelihood ratio (Good 1985, "Weight of evidence: a
// brief survey", Bayesian Statistics 2; from memory), and the posterior that so many
// decibans make of even odds, by arithmetic.
func TestDecibans(t *testing.T) {
	for _, row := range []struct{ ratio, decibans float64 }{
		{2, 3.0103}, {3, 4.7712}, {4, 6.0206}, {5, 6.9897}, {10, 10}, {20, 13.0103}, {100, 20}, {0.1, -10},
	} {
		n := must(t, Model{Faults: faults(0.5), Findings: []Finding{direct(0.5, 0.5), direct(0, 1)}})
		e := Evidence{Seen: []Seen{{1, []float64{row.ratio, 1}}, {0, []float64{1, 2}}}}
		left, err := n.LeaveOut(e)
		if err != nil {
			t.Fatal(err)
		}
		around(t, fmt.Sprint("ratio ", row.ratio), left[0].Weight[0], row.decibans, 5e-5)
		around(t, "a finding that says nothing", left[1].Weight[0], 0, 1e-12)
	}
	for _, row := range []struct{ decibans, posterior float64 }{
		{-20, 0.00990}, {-10, 0.09091}, {0, 0.5}, {3, 0.66614}, {5, 0.75975}, {10, 0.90909}, {13, 0.95227}, {20, 0.99010}, {30, 0.99900},
	} {
		n := must(t, Model{Faults: faults(0.5)})
		e := Evidence{Faults: []KnownFault{{0, math.Pow(10, row.decibans/10), 1}}}
		p := posterior(t, n, e)
		around(t, fmt.Sprint(row.decibans, " decibans"), p.Faults[0], row.posterior, 5e-6)
		around(t, fmt.Sprint(row.decibans, " decibans"), Decibans(p.LogOdds[0], 0), row.decibans, 1e-12)
	}
}

// TestPredictiveValue: positive predictive value as a network of one fault and
// one finding. What is printed is named; the further digits are by arithmetic.
func TestPredictiveValue(t *testing.T) {
	for _, row := range []struct {
		source                               string
		prevalence, sensitivity, specificity float64
		want, by                             float64
	}{
		{"Eddy 1982, \"Probabilistic reasoning in clinical medicine\", mammography: 7.8 %, from memory", 0.01, 0.80, 0.904, 0.07764, 5e-6},
		{"exercise of Rice, Mathematical Statistics and Data Analysis, as asked at stackexchange 4260398: 7.5 %", 0.01, 0.80, 0.90, 0.0748, 5e-5},
		{"textbook exercise as asked at homeworksource 1082685: .2930", 0.0238, 0.85, 0.95, 0.2930, 5e-5},
		{"\"Mammogram Math\", as retold at chemedx.org: about 32 %", 0.005, 0.95, 0.99, 0.3231, 5e-5},
		{"Casscells, Schoenberger and Graboys 1978, N Engl J Med 299: about 2 %, from memory", 0.001, 1, 0.95, 0.0196, 5e-5},
		{"Gigerenzer and others 2007, \"Helping doctors and patients make sense of health statistics\": about 9 %, from memory", 0.01, 0.90, 0.91, 0.0917, 5e-5},
		{"by arithmetic", 0.0025, 0.85, 0.80, 0.01054, 5e-6},
	} {
		n := must(t, Model{Faults: faults(row.prevalence), Findings: []Finding{direct(1-row.specificity, row.sensitivity)}})
		around(t, row.source, posterior(t, n, Evidence{Seen: []Seen{holds(0)}}).Faults[0], row.want, row.by)
	}
}
