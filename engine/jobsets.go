package engine

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"culprit/engine/rulefile"
	"culprit/engine/source"
	"culprit/engine/truth"
)

// JobSet is one set of readings of a job: what was taken in one go, with the car
// as it stood then.
type JobSet struct {
	// Label is what the workshop calls the set, such as "before"; no two sets of
	// a job have the same. Without one it is called by its number.
	Label string
	Note  string // free text
	// Repaired are the ids of the faults whose repair was done since the set
	// before this one was taken. The first set has none.
	Repaired []string
	Found    string // what was seen in doing it; free text
	// Readings by id. A zero Value is a reading that was not taken.
	Readings map[string]Value

	// top says that the readings stand in the job itself and not under "sets".
	top bool
}

// MaxSets is how many sets of readings a job may have.
const MaxSets = 50

// InSets gives the sets of readings in their order, whichever form the job has:
// the readings of a job without sets are its only one. Every set has a label.
func (j *Job) InSets() []JobSet {
	if j.Sets == nil {
		return []JobSet{{Label: setName(0), Readings: j.Readings, top: true}}
	}
	sets := slices.Clone(j.Sets)
	for i := range sets {
		if sets[i].Label == "" {
			sets[i].Label = setName(i)
		}
	}
	return sets
}

func setName(i int) string { return fmt.Sprintf("set %d", i+1) }

// AfterRepair begins a new set of readings, taken after the repair of faults was
// done; words added from then on go into it. The readings of a job that had one
// set become its first set, called "before". From is what messages call the place
// that the faults come from, for example the option of a command.
func (j *Job) AfterRepair(faults []string, from string) {
	if j.Sets == nil {
		j.Sets = []JobSet{{Label: "before", Readings: j.Readings, top: true}}
		j.Readings = nil
	}
	label := "after repair"
	for n := 2; slices.ContainsFunc(j.Sets, func(s JobSet) bool { return s.Label == label }); n++ {
		label = fmt.Sprintf("after repair %d", n)
	}
	k := len(j.Sets)
	j.Sets = append(j.Sets, JobSet{Label: label, Repaired: slices.Clone(faults), Readings: map[string]Value{}})
	for i, id := range faults {
		j.Place(fmt.Sprintf("sets[%d].repaired[%d]=", k, i), source.NewFile(from, []byte(id)).PosAt(0), len([]rune(id)))
	}
}

// path is where set k of a job stands in it, with the dot behind.
func (s *JobSet) path(k int) string {
	if s.top {
		return ""
	}
	return fmt.Sprintf("sets[%d].", k)
}

// Check says what the pack cannot take of a job: nil, or a [Problems] with all of
// it. [Pack.Diagnose] says the same.
func (p *Pack) Check(j *Job) error {
	c := checker{job: j}
	p.check(&c, j)
	return c.err()
}

// check holds every part of a job against the pack.
func (p *Pack) check(c *checker, j *Job) {
	scratch := p.rules.Scope.Values()
	p.setSpecs(c, scratch)
	sets := j.InSets()
	p.checkSets(c, sets)
	for k := range sets[:min(len(sets), MaxSets)] {
		p.setReadings(c, &sets[k], k, scratch, nil)
	}
}

// checkSets holds the sets of a job against each other, and the repairs against
// the pack.
func (p *Pack) checkSets(c *checker, sets []JobSet) {
	j := c.job
	switch {
	case j.Sets == nil:
		return
	case len(j.Readings) > 0:
		c.problem("readings", "put them into one of the sets", "a job has either readings or sets, not both")
	case len(sets) == 0:
		c.problem("sets=", `write {"label": "before", "readings": {…}} for each, or "readings" instead of "sets"`, "there is no set of readings")
	case len(sets) > MaxSets:
		c.problem("sets=", "", "a job has at most %d sets of readings, not %d", MaxSets, len(sets))
	}
	first := map[string]string{}
	for k, s := range sets[:min(len(sets), MaxSets)] {
		if c.stop() {
			return
		}
		path := s.path(k)
		if before, twice := first[s.Label]; twice {
			c.repeated(path+"label=", before, "another set is called %q, too", short(s.Label))
		} else {
			first[s.Label] = path + "label="
		}
		if k == 0 && len(s.Repaired) > 0 {
			c.problem(path+"repaired", "put the readings of before into a set of their own, and this one behind it",
				"the first set is of before any repair")
		}
		p.checkRepaired(c, path, s.Repaired)
	}
}

func (p *Pack) checkRepaired(c *checker, path string, ids []string) {
	first := map[string]string{}
	for i, id := range ids {
		at := fmt.Sprintf("%srepaired[%d]=", path, i)
		before, twice := first[id]
		switch {
		case twice:
			c.repeated(at, before, "the fault %q stands here twice", short(id))
		case p.rules.Fault(id) == nil:
			c.problem(at, near(id, p.rules.Faults, func(f *rulefile.Fault) string { return f.ID }), "there is no fault %q", short(id))
		}
		first[id] = at
	}
}

// repeated reports something that stands at two places.
func (c *checker) repeated(path, before, format string, args ...any) {
	if c.stop() {
		return
	}
	at, width := c.job.where(path)
	other, _ := c.job.where(before)
	c.add(source.Problem{Pos: at, Width: width, Text: strings.TrimSuffix(path, "=") + ": " + fmt.Sprintf(format, args...), Other: &other})
}

// setSpecs puts the figures of the job's car into values.
func (p *Pack) setSpecs(c *checker, into *truth.Values) {
	j := c.job
	if j.Vehicle != "" {
		v := p.rules.Vehicle(j.Vehicle)
		if v == nil {
			c.problem("vehicle=", p.nearVehicle(j.Vehicle), "there is no vehicle %q in this pack", short(j.Vehicle))
		} else {
			for _, s := range v.Specs {
				into.SetSpec(s.Reading, s.Spec)
			}
		}
	}
	for _, id := range slices.Sorted(maps.Keys(j.Spec)) {
		if c.stop() {
			break
		}
		p.setFigures(c, id, into)
	}
}

// setReadings puts the readings of set k into values, and marks in taken, unless
// it is nil, that they were taken in it.
func (p *Pack) setReadings(c *checker, s *JobSet, k int, into *truth.Values, taken []int) {
	right := true
	for id, v := range s.Readings { // in no order, which does not matter where all is right
		r := p.rules.Reading(id)
		right = right && r != nil && (!v.Taken() || v.set(r, into) == nil)
		if taken != nil && r != nil && v.Taken() {
			taken[r.Index] = k
		}
	}
	if right {
		return
	}
	for _, id := range slices.Sorted(maps.Keys(s.Readings)) {
		if c.stop() {
			break
		}
		path := s.path(k) + "readings." + id
		r := p.rules.Reading(id)
		if r == nil {
			c.problem(path, p.nearReading(id), "there is no reading %q", short(id))
			continue
		}
		if v := s.Readings[id]; v.Taken() {
			if err := v.set(r, into); err != nil {
				c.problem(path+"=", err.hint, "%s", err.text)
			}
		}
	}
}
