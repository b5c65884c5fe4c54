package engine

import (
	"context"
	"slices"

	"culprit/engine/rulefile"
	"culprit/engine/truth"
)

// Record is what is to be written down of a job at its end.
type Record struct {
	Name      string
	Vehicle   *Car
	Complaint []string       // by set; "" where nobody said
	Sets      []string       // labels of the sets of readings, in order
	Readings  []RecordLine   // what was taken in any set, in the order of the pack
	Repairs   []RecordRepair // in the order in which they were done
	Proposed  *Proposal      // a repair that is advised and was not done
	End       string         // why the interview ended; "" where it did not
	InOrder   bool           // a repair was done, and everything is in order since
	Faults    []Leading      // the leading ones as things stand
	NoFault   float64
	// What the work takes by the figures of the pack: the quickest checks that yield
	// what was taken, and the repairs that were done.
	CheckMinutes, RepairMinutes float64

	Odd        []string // rules that hold as things stand, in words
	SetUp      []SetUp  // points that are not met, or that nobody spoke of
	PassedOver []Named  // in the last set
	NotAgain   []Named  // what a repair could have moved and was not taken since
	Notice     string
}

// Named is a reading by id and name.
type Named struct{ Reading, Label string }

// RecordLine is a reading in every set of a job.
type RecordLine struct {
	Named
	Values []string // by set, for a person; "" where it was not taken
	Limits *Limits
	Out    []bool // by set: it lies outside its limits
}

// RecordRepair is a repair that was done.
type RecordRepair struct {
	Repaired
	Repair Repair
}

// Record gives the record of the job as it stands.
func (iv *Interview) Record(ctx context.Context) (*Record, error) {
	j, p := iv.now.job, iv.pack
	v, err := p.Diagnose(ctx, j, Options{Most: -1})
	if err != nil {
		return nil, err
	}
	r := &Record{Name: v.Name, Vehicle: v.Vehicle, End: iv.now.question.End, NoFault: v.NoFault, SetUp: v.SetUp, Notice: v.Notice}
	for _, f := range v.Faults[:min(leadingFaults, len(v.Faults))] {
		r.Faults = append(r.Faults, Leading{f.Fault, f.Label, f.Probability})
	}
	for _, x := range v.Rules {
		if x.Status == Holds && odd(p.rules.Rule(x.Rule)) {
			r.Odd = append(r.Odd, x.Says)
		}
	}
	p.recordReadings(r, j)
	if f := v.FollowUp; f != nil {
		r.InOrder = f.InOrder && len(f.Repaired) > 0
		for _, d := range f.Repaired {
			line := RecordRepair{Repaired: d}
			if m := describeRepair(p.rules.Fault(d.Fault).Repair); m != nil {
				line.Repair = *m
				r.RepairMinutes += m.Minutes
			}
			r.Repairs = append(r.Repairs, line)
		}
		for _, n := range f.NotAgain {
			r.NotAgain = append(r.NotAgain, Named{n.Reading, n.Label})
		}
	}
	r.Proposed = iv.proposed()
	for _, x := range p.rules.Readings {
		value, there := iv.now.readings()[x.ID]
		again := slices.ContainsFunc(r.NotAgain, func(n Named) bool { return n.Reading == x.ID })
		if there && !value.Taken() && !again {
			r.PassedOver = append(r.PassedOver, Named{x.ID, x.Label})
		}
	}
	return r, nil
}

// proposed is the repair that is, or was last, proposed and not done.
func (iv *Interview) proposed() *Proposal {
	if q := iv.now.question; q.Propose != nil {
		return q.Propose
	}
	if iv.now.declined {
		for _, s := range slices.Backward(iv.past) {
			if s.question.Propose != nil {
				return s.question.Propose
			}
		}
	}
	return nil
}

// recordReadings lists what was taken in each set, and what taking it costs.
func (p *Pack) recordReadings(r *Record, j *Job) {
	setUp := p.ofSetUp()
	lines := make([]*RecordLine, len(p.rules.Readings))
	sets := j.InSets()
	for k := range sets {
		r.Sets = append(r.Sets, sets[k].Label)
		r.Complaint = append(r.Complaint, "")
		x := p.rules.Scope.Values()
		c := checker{job: j}
		p.setSpecs(&c, x)
		p.setReadings(&c, &sets[k], k, x, nil)
		r.CheckMinutes += p.checkMinutes(x)
		for i, reading := range p.rules.Readings {
			if !x.Given(i) || setUp[i] {
				continue
			}
			var now Reading
			now.fill(reading, x)
			if reading.ID == complaintReading {
				r.Complaint[k] = now.Text
				continue
			}
			if lines[i] == nil {
				lines[i] = &RecordLine{Named: Named{reading.ID, reading.Label}, Limits: now.Limits, Values: make([]string, len(sets)), Out: make([]bool, len(sets))}
			}
			lines[i].Values[k] = now.Text
			lines[i].Out[k] = now.InSpec != nil && middle(now.InSpec) < 0.5
		}
	}
	for _, l := range lines {
		if l != nil {
			r.Readings = append(r.Readings, *l)
		}
	}
}

// checkMinutes is what the quickest checks take that yield the given values, what
// they share being made once.
func (p *Pack) checkMinutes(x *truth.Values) float64 {
	var made []*rulefile.Check
	for i := range p.rules.Readings {
		if c := p.quickest(i); c != nil && x.Given(i) && !slices.Contains(made, c) {
			made = append(made, c)
		}
	}
	sum := 0.0
	var prepared []int
	for _, c := range made {
		sum += c.Minutes
		for _, k := range c.Prepare {
			if slices.Contains(prepared, k) {
				sum -= p.rules.Preparations[k].Minutes
			}
			prepared = append(prepared, k)
		}
	}
	return sum
}
