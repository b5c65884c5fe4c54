package rulefile

import (
	"runtime"
	"slices"
	"sync"

	"culprit/engine/source"
	"culprit/engine/truth"
)

// Load reads the rule files of all folders and joins them into one pack: a base first, what is added to it after.
// The order of folders and files decides only the order of the things in the Pack.
//
// The error is a source.Problems with everything that is wrong, sorted by file, line and column; then the Pack is nil.
func Load(folders ...Folder) (*Pack, error) {
	l := &loader{compiled: make(map[string]*truth.Expr), broken: make(map[string]bool)}
	if len(folders) == 0 {
		l.Add(source.Problem{Text: "no folder with rule files was named"})
	}
	for _, r := range readAll(l.files(folders)) {
		l.take(r)
	}
	l.resolve()
	if len(l.Problems) > 0 {
		l.Problems.Sort()
		return nil, l.Problems
	}
	return &l.pack, nil
}

// loader is one loading of one pack.
type loader struct {
	source.Report
	pack Pack

	about      []source.Got[rawAbout]
	readings   section[rawReading, Reading]
	conditions section[rawCondition, Condition]
	faults     section[rawFault, Fault]
	rules      section[rawRule, Rule]
	checks     section[rawCheck, Check]
	cautions   section[string, Caution]
	vehicles   section[rawVehicle, Vehicle]

	preparations section[rawPreparation, Preparation]

	// partial means that a file or a section could not be read, so that a name nobody defines may well be defined there.
	partial bool
	// broken are readings whose definition is wrong, so that what expressions say about them cannot be checked.
	broken   map[string]bool
	compiled map[string]*truth.Expr
	failures int // how many expressions did not compile
}

// reading is one file as read.
type reading struct {
	report source.Report
	raw    rawFile
	ok     bool
}

// readAll parses the files, as many at once as there are processors: parsing is most of the time that loading takes.
func readAll(files []*source.File) []reading {
	all := make([]reading, len(files))
	next := make(chan int)
	var wait sync.WaitGroup
	for range runtime.GOMAXPROCS(0) {
		wait.Go(func() {
			for i := range next {
				all[i].read(files[i])
			}
		})
	}
	for i := range files {
		next <- i
	}
	close(next)
	wait.Wait()
	return all
}

func (r *reading) read(f *source.File) {
	top := source.Parse(f, &r.report)
	if top.IsZero() {
		return
	}
	if at, ok := top.Key("cases"); ok && !slices.ContainsFunc(fileTable.Type().Shape.Keys, func(k source.KeyShape) bool { return top.Has(k.Name) }) {
		r.report.At(at, "this is a case file, and rule files are wanted here").Hint = "culprit rehearse runs case files; keep them in a folder of their own"
		return
	}
	r.raw, r.ok = fileTable.Type().Read(&r.report, top)
}

// take adds what one file defines.
func (l *loader) take(r reading) {
	l.Merge(&r.report)
	if !r.ok {
		l.partial = true
		return
	}
	if r.raw.about.Set {
		l.about = append(l.about, r.raw.about)
	}
	add(l, &l.readings, "reading", r.raw.readings)
	add(l, &l.conditions, "condition", r.raw.conditions)
	add(l, &l.faults, "fault", r.raw.faults)
	add(l, &l.rules, "rule", r.raw.rules)
	add(l, &l.checks, "check", r.raw.checks)
	add(l, &l.preparations, "preparation", r.raw.preparations)
	add(l, &l.cautions, "caution", r.raw.cautions)
	add(l, &l.vehicles, "vehicle", r.raw.vehicles)
}

// A section is everything of one kind in the pack: the things as read and as they become, in step.
type section[R, T any] struct {
	raw    []*source.Entry[R]
	things []*T
	byID   map[string]int
}

// get gives the thing with that id, or nil.
func (s *section[R, T]) get(id string) *T {
	if i, ok := s.byID[id]; ok {
		return s.things[i]
	}
	return nil
}

// ids lists what is defined.
func (s *section[R, T]) ids() []string {
	ids := make([]string, len(s.raw))
	for i, e := range s.raw {
		ids[i] = e.ID
	}
	return ids
}

// index gives the things by id, for the finished pack.
func (s *section[R, T]) index() map[string]*T {
	m := make(map[string]*T, len(s.things))
	for id, i := range s.byID {
		m[id] = s.things[i]
	}
	return m
}

// add takes over what one file has of a section. What another file has defined already is reported with both places.
func add[R, T any](l *loader, s *section[R, T], thing string, got source.Got[[]source.Entry[R]]) {
	if got.Line > 0 && !got.Set {
		l.partial = true
	}
	if s.byID == nil {
		s.byID = make(map[string]int)
	}
	for i := range got.V {
		e := &got.V[i]
		if before, ok := s.byID[e.ID]; ok {
			l.At(e.At, "%s %q is defined twice", thing, e.ID).Other = &s.raw[before].At.Pos
			continue
		}
		s.byID[e.ID] = len(s.raw)
		s.raw = append(s.raw, e)
		s.things = append(s.things, new(T))
	}
}

// resolve looks up and checks everything that was read, and fills the pack.
func (l *loader) resolve() {
	l.resolveAbout()
	l.resolveReadings()
	l.resolveCautions()
	l.resolvePreparations()
	l.resolveChecks()
	l.resolveConditions()
	l.resolveFaults()
	l.resolveRules()
	l.resolveAlternatives()
	l.resolveVehicles()

	p := &l.pack
	p.Readings, p.readings = l.readings.things, l.readings.index()
	p.Conditions, p.conditions = l.conditions.things, l.conditions.index()
	p.Faults, p.faults = l.faults.things, l.faults.index()
	p.Rules, p.rules = l.rules.things, l.rules.index()
	p.Checks, p.checks = l.checks.things, l.checks.index()
	p.Preparations, p.preparations = l.preparations.things, l.preparations.index()
	p.Cautions, p.cautions = l.cautions.things, l.cautions.index()
	p.Vehicles, p.vehicles = l.vehicles.things, l.vehicles.index()
}

func (l *loader) resolveAbout() {
	for i, a := range l.about {
		if i > 0 {
			l.At(a.Spot, "a pack has one \"about\"").Other = &l.about[0].Pos
			continue
		}
		l.pack.About = About{Label: a.V.label.V, Doc: a.V.doc.V, Notice: a.V.notice.V, At: a.Pos}
		if last := a.V.lastResort; last.Set {
			l.pack.About.LastResort = &LastResort{At: last.Pos, Label: last.V.label.V, Minutes: last.V.minutes.V, Do: last.V.do.V}
		}
	}
}

// anID is what the ids of readings and of all else look like; what does not can be defined nowhere.
var anID = source.Pattern(`^[a-z][a-z0-9_-]{0,63}$`)

// mostKnown is how many ids a hint lists.
const mostKnown = 12

// known lists what there is of a thing, where nothing near was found and the list is short.
func known(thing string, ids []string) string {
	switch n := len(ids); {
	case n == 0:
		return "no " + thing + " is defined"
	case n > mostKnown:
		return ""
	case n == 1:
		return "the only " + thing + " is " + ids[0]
	}
	return "the " + thing + "s are " + list(ids)
}

// look finds what an id names, or reports that nothing has that id. Nil without a report means that it may be defined in
// what could not be read.
func look[R, T any](l *loader, s *section[R, T], thing string, at source.Spot, id string) *T {
	if t := s.get(id); t != nil {
		return t
	}
	if !l.partial || !anID().MatchString(id) {
		l.At(at, "unknown %s %q", thing, source.Shorten(id)).Hint = l.Near(id, known(thing, s.ids()), s.ids)
	}
	return nil
}

// lookAll finds what a list of ids names; an id that stands there twice is reported.
func lookAll[R, T any](l *loader, s *section[R, T], thing string, list source.Got[[]source.Got[string]]) []*T {
	var found []*T
	first := make(map[string]source.Spot, len(list.V))
	for _, g := range list.V {
		if before, twice := first[g.V]; twice {
			l.At(g.Spot, "%s %q stands here twice", thing, g.V).Other = &before.Pos
			continue
		}
		first[g.V] = g.Spot
		if t := look(l, s, thing, g.Spot, g.V); t != nil {
			found = append(found, t)
		}
	}
	return found
}

// texts gives the texts of a list.
func texts(list source.Got[[]source.Got[string]]) []string {
	var all []string
	for _, g := range list.V {
		all = append(all, g.V)
	}
	return all
}
