package benchpage

import (
	"cmp"
	"net/http"
	"slices"
)

// conflictView shows what was entered twice.
type conflictView struct {
	ID, Rev, Check, Open string
	Set                  int
	Title, SetLabel      string
	NewSet               bool // a repair was entered meanwhile
	Fields               []crossed
}

// conflict tells the second of two who changed the same: both values, and what to do.
// What did not cross is kept, unless a repair was entered meanwhile.
func (s *Server) conflict(w http.ResponseWriter, r *http.Request, now *stored, e *entry, otherSet bool) {
	form := r.PostForm
	sets := now.job.InSets()
	v := conflictView{ID: now.ID, Rev: now.Rev, Check: form.Get("check"), Open: form.Get("open"), Set: len(sets), Title: now.job.Name,
		SetLabel: sets[len(sets)-1].Label, NewSet: otherSet, Fields: e.crossed}
	slices.SortFunc(v.Fields, func(a, b crossed) int { return cmp.Compare(a.Reading, b.Reading) })
	status := http.StatusConflict
	if part(r) {
		status = http.StatusOK
	}
	s.write(w, status, "conflict", page{Title: "Changed in two windows", Data: v})
}
