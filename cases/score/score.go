package score

import (
	"cmp"
	"context"
	"errors"
	"runtime"
	"slices"
	"sync"

	"culprit/engine"
)

// Checks say which checks have been made on the cars: the first five of the routine; all; or the first five, and then
// those that settle the faults that the car has.
type Checks string

// They are the words of the command line.
const (
	First  Checks = "first-five"
	All    Checks = "all"
	Settle Checks = "settle"
)

// Faults say how many a car has: one, drawn by how common it is; two different ones, each drawn so; or each fault
// present or absent by itself as often as the pack says, given that there is one.
type Faults string

// They are the words of the command line.
const (
	One  Faults = "one"
	Two  Faults = "two"
	More Faults = "more"
)

// Options say which cars are scored.
type Options struct {
	Jobs   int
	Seed   uint64 // of the first car; the seeds go on from there
	Checks Checks
	Faults Faults
	Equal  bool // one fault, every one equally often, instead of by how common it is
}

// Table is what the rules make of the cars.
type Table struct {
	Pack   string `json:"pack"`
	Jobs   int    `json:"jobs"`
	Seed   uint64 `json:"seed"`
	Checks Checks `json:"checks"`
	Faults Faults `json:"faults"`
	Equal  bool   `json:"equal"`

	// Leads and Three tell how often a fault that is there leads, or is among the first three; All how often all that
	// are there are among the first four.
	Leads Share `json:"leads"`
	Three Share `json:"among_three"`
	All   Share `json:"all_among_four"`
	// The same where a fault counts too that the readings in hand do not tell from one that is there.
	LeadsAlike Share `json:"leads_or_alike"`
	ThreeAlike Share `json:"among_three_or_alike"`
	// Strict and Loose are LeadsAlike with 3 and 10 decibans instead of BareMention, to tell what hangs on it.
	Strict Share `json:"leads_or_alike_3_db"`
	Loose  Share `json:"leads_or_alike_10_db"`

	// Expected is what the rules expect of themselves on these cars; nil where a car may have any number of faults.
	Expected *Expected `json:"expected,omitempty"`

	// Brier and LogLoss are of the probabilities of all faults, summed over the faults and averaged over the cars, given
	// that there is a fault, since every car has one.
	Brier   float64 `json:"brier"`
	LogLoss float64 `json:"log_loss_nats"`
	// Calibration is that of the leading fault's probability under the prior that the cars are drawn from: that there are
	// exactly as many faults as they have, or one or more. Any is its error given only that there is a fault, Raw as rank
	// prints it.
	Calibration Calibration `json:"calibration"`
	Any         float64     `json:"calibration_error_given_a_fault"`
	Raw         float64     `json:"calibration_error_as_printed"`

	ByFault  []FaultRow  `json:"by_fault"` // of cars with one fault
	Confused []Confusion `json:"confused"` // of cars with one fault, the most frequent first
}

// FaultRow is what became of the cars with one fault.
type FaultRow struct {
	Fault      string `json:"fault"`
	Leads      Share  `json:"leads"`
	LeadsAlike Share  `json:"leads_or_alike"`
}

// Confusion is a fault that led in the place of the true one. Told are those times where the readings tell them apart.
type Confusion struct {
	Truth string `json:"truth"`
	Led   string `json:"led"`
	Times int    `json:"times"`
	Told  int    `json:"told_apart"`
	Seed  uint64 `json:"seed"` // of the first of them; of those told apart, where there are any
}

// outcome is what the rules made of one car.
type outcome struct {
	seed   uint64
	truth  []string
	ranked []string
	p      []float64 // of ranked, given that there is a fault
	raw    float64   // of the leading one, as it is printed
	lead   float64   // of the leading one, under the prior that the car is drawn from
	expect *Expected // nil where the number of faults is not fixed
	apart  []float64 // of the first few ranked: decibans from the nearest true fault
}

// Rules scores the ranking of a pack. The same options give the same table on every machine. Errors are those of ctx and of
// the network, and a pack that the model car is not of.
func Rules(ctx context.Context, pack *engine.Pack, o Options) (*Table, error) {
	s, err := newStager(ctx, pack)
	if err != nil {
		return nil, err
	}
	out, err := each(o.Jobs, func(i int) (*outcome, error) { return s.outcome(ctx, &o, i) })
	if err != nil {
		return nil, err
	}
	return table(pack.Name(), &o, s, out), nil
}

func (s *stager) outcome(ctx context.Context, o *Options, i int) (*outcome, error) {
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	car, truth, err := s.draw(o, i)
	if err != nil {
		return nil, err
	}
	out := &outcome{seed: o.Seed + uint64(i), truth: truth}
	checks := FirstFive
	switch o.Checks {
	case All:
		checks = s.checks
	case Settle:
		for _, f := range truth {
			checks = append(slices.Clip(checks), s.settle[f])
		}
	}
	job, err := s.job(car, checks)
	if err != nil {
		return nil, err
	}
	b, err := s.pack.Brief(ctx, job, engine.BriefOptions{Most: len(s.pack.Faults())})
	if err != nil {
		return nil, err
	}
	out.raw = b.Faults[0].Probability
	for _, f := range b.Faults {
		out.ranked = append(out.ranked, f.Fault)
		out.p = append(out.p, min(1, f.Probability/(1-b.NoFault)))
	}
	out.lead = out.p[0]
	if o.Faults != More || o.Equal {
		d, err := s.drawn(ctx, o, job)
		if err != nil {
			return nil, err
		}
		e, err := s.expect(ctx, job, d)
		if err != nil {
			return nil, err
		}
		out.lead, out.expect = min(1, d.marginal[out.ranked[0]]), &e
	}
	return out, s.compare(ctx, job, out)
}

// bins of the calibration. A judgement, the one most used.
const bins = 10

func table(name string, o *Options, s *stager, all []*outcome) *Table {
	t := &Table{Pack: name, Jobs: o.Jobs, Seed: o.Seed, Checks: o.Checks, Faults: o.Faults, Equal: o.Equal, ByFault: []FaultRow{}, Confused: []Confusion{}}
	count := func(is func(x *outcome) bool) Share {
		n := 0
		for _, x := range all {
			if is(x) {
				n++
			}
		}
		return share(n, len(all))
	}
	t.Leads = count(func(x *outcome) bool { return x.within(1) > 0 })
	t.Three = count(func(x *outcome) bool { return x.within(3) > 0 })
	t.All = count(func(x *outcome) bool { return x.within(firstFew) == len(x.truth) })
	t.LeadsAlike = count(func(x *outcome) bool { return x.alike(1, BareMention) })
	t.ThreeAlike = count(func(x *outcome) bool { return x.alike(3, BareMention) })
	t.Strict = count(func(x *outcome) bool { return x.alike(1, 3) })
	t.Loose = count(func(x *outcome) bool { return x.alike(1, 10) })
	var lead, any, raw []float64
	var right []bool
	for _, x := range all {
		there := make([]bool, len(x.ranked))
		for k, f := range x.ranked {
			there[k] = slices.Contains(x.truth, f)
		}
		t.Brier += Brier(x.p, there) / float64(len(all))
		t.LogLoss += LogLoss(x.p, there) / float64(len(all))
		lead, any, raw, right = append(lead, x.lead), append(any, x.p[0]), append(raw, x.raw), append(right, there[0])
		if x.expect != nil {
			if t.Expected == nil {
				t.Expected = &Expected{}
			}
			t.Expected.add(x.expect, 1/float64(len(all)))
		}
	}
	t.Calibration = Calibrate(lead, right, bins)
	t.Any, t.Raw = Calibrate(any, right, bins).Expected, Calibrate(raw, right, bins).Expected
	if o.Faults == One || o.Equal {
		t.confuse(s, all)
	}
	return t
}

// confuse tells of each fault what became of its cars.
func (t *Table) confuse(s *stager, all []*outcome) {
	for _, w := range s.common {
		of, leads, alike := 0, 0, 0
		told := map[string]*Confusion{}
		for _, x := range all {
			if x.truth[0] != w.Word {
				continue
			}
			of++
			led := x.ranked[0]
			if x.alike(1, BareMention) {
				alike++
			}
			if led == w.Word {
				leads++
				continue
			}
			if told[led] == nil {
				told[led] = &Confusion{Truth: w.Word, Led: led, Seed: x.seed}
			}
			told[led].Times++
			if !x.alike(1, BareMention) {
				if told[led].Told == 0 {
					told[led].Seed = x.seed
				}
				told[led].Told++
			}
		}
		t.ByFault = append(t.ByFault, FaultRow{w.Word, share(leads, of), share(alike, of)})
		for _, c := range told {
			t.Confused = append(t.Confused, *c)
		}
	}
	slices.SortFunc(t.Confused, func(a, b Confusion) int {
		return cmp.Or(b.Told-a.Told, b.Times-a.Times, cmp.Compare(a.Truth, b.Truth), cmp.Compare(a.Led, b.Led))
	})
}

// each runs a function for 0..n-1 on all cores, and gives what it returned in that order.
func each[T any](n int, do func(i int) (T, error)) ([]T, error) {
	out, errs := make([]T, n), make([]error, n)
	var wait sync.WaitGroup
	next := make(chan int)
	for range min(n, runtime.GOMAXPROCS(0)) {
		wait.Go(func() {
			for i := range next {
				out[i], errs[i] = do(i)
			}
		})
	}
	for i := range n {
		next <- i
	}
	close(next)
	wait.Wait()
	return out, errors.Join(errs...)
}
