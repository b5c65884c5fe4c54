package benchpage

import (
	"net/http"
	"slices"

	"culprit/engine"
)

// compareView is two jobs side by side.
type compareView struct {
	Jobs   []listed // to choose from
	A, B   string
	Sides  []side // two, or none yet
	Rows   []compareRow
	Faults []compareFault
}

// side is one of the jobs.
type side struct {
	ID, Title, Car string
	Demo           bool
	Sets           string
}

// compareRow is a reading in both.
type compareRow struct {
	Label   string
	A, B    *Stand
	Apart   bool // they differ
	Limited string
}

// compareFault is a fault in both.
type compareFault struct {
	Label string
	A, B  float64
}

// mostCompared is how many faults of either job are compared.
const mostCompared = 5

func (s *Server) compare(w http.ResponseWriter, r *http.Request) {
	q := r.URL.Query()
	v := compareView{A: q.Get("a"), B: q.Get("b")}
	var err error
	if v.Jobs, err = s.jobs(); err != nil {
		s.broken(w, r, "", err)
		return
	}
	if v.A == "" || v.B == "" {
		s.write(w, http.StatusOK, "compare", page{Title: "Bench: compare", Data: v})
		return
	}
	var verdicts [2]*engine.Verdict
	for i, id := range []string{v.A, v.B} {
		j, err := s.load(id)
		if err == nil {
			verdicts[i], err = s.known.verdict(r.Context(), j, "")
		}
		if err != nil {
			s.broken(w, r, id, err)
			return
		}
		x := side{ID: id, Title: j.job.Name, Car: "no car chosen"}
		if x.Title == "" {
			x.Title = id
		}
		if c := verdicts[i].Vehicle; c != nil {
			x.Car, x.Demo = c.Label, c.Demo
		}
		if sets := j.job.InSets(); len(sets) > 1 {
			x.Sets = sets[len(sets)-1].Label
		}
		v.Sides = append(v.Sides, x)
	}
	s.compareReadings(&v, verdicts)
	compareFaults(&v, verdicts)
	s.write(w, http.StatusOK, "compare", page{Title: "Bench: compare", Data: v})
}

// compareReadings puts the readings of both into rows, in the order of the rules.
func (s *Server) compareReadings(v *compareView, verdicts [2]*engine.Verdict) {
	find := func(i int, id string) *Stand {
		for k := range verdicts[i].Readings {
			if r := &verdicts[i].Readings[k]; r.Reading == id {
				stand := s.o.Paper.Reading(r)
				return &stand
			}
		}
		return nil
	}
	for _, c := range s.o.Pack.List() {
		if c.Kind != "reading" {
			continue
		}
		row := compareRow{Label: c.Label, A: find(0, c.ID), B: find(1, c.ID)}
		if row.A == nil && row.B == nil {
			continue
		}
		row.Apart = row.A == nil || row.B == nil || row.A.Value != row.B.Value
		v.Rows = append(v.Rows, row)
	}
}

// compareFaults takes the leading faults of either.
func compareFaults(v *compareView, verdicts [2]*engine.Verdict) {
	var ids []string
	for _, x := range verdicts {
		for _, f := range x.Faults[:min(mostCompared, len(x.Faults))] {
			if !slices.Contains(ids, f.Fault) {
				ids = append(ids, f.Fault)
			}
		}
	}
	for _, id := range ids {
		var row compareFault
		for i, x := range verdicts {
			for _, f := range x.Faults {
				if f.Fault == id {
					row.Label = f.Label
					if i == 0 {
						row.A = f.Probability
					} else {
						row.B = f.Probability
					}
				}
			}
		}
		v.Faults = append(v.Faults, row)
	}
	slices.SortStableFunc(v.Faults, func(a, b compareFault) int {
		x, y := max(a.A, a.B), max(b.A, b.B)
		switch {
		case x > y:
			return -1
		case x < y:
			return 1
		}
		return 0
	})
}
