package main

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"culprit/cmd/culprit/internal/drawing"
	"culprit/engine"
)

// sheet is what the sheet of one job says, in the words in which it is read: HTML
// and text are both drawn from it.
type sheet struct {
	ID        string // of the job in its document
	Title     string
	Car       string
	Source    string // of the car's figures
	Demo      bool
	Pack      string
	Complaint string
	Notes     []sheetNote

	Answer sheetAnswer

	SetUp   []sheetPoint
	Assumed []string

	After    *sheetAfter
	Readings []sheetReading
	Doubtful []string

	Ranked   []sheetFault // the leading ones
	Others   []sheetOthers
	NoFault  string
	None     drawing.Share
	noFault  float64
	Together string
	Leading  []sheetLeading

	Open     []sheetLine // what stays unexplained, contradicts or waits
	Checks   []sheetCheck
	NoChecks string // said where no check is listed
	Advice   string
	Unread   []string
	Unlooked []string

	Notices []string
}

// sheetNote is free text of the workshop with what it belongs to.
type sheetNote struct{ Label, Text string }

// sheetLine is a remark with its heading.
type sheetLine struct{ Label, Text string }

// sheetAnswer is what the sheet says first.
type sheetAnswer struct {
	Heads []string // the answer; where several faults lead, one each
	Lines []string
}

// sheetFault is a fault in the ranking.
type sheetFault struct {
	ID, Label, Chance string
	Share             drawing.Share
	chance            float64
}

// mostUnread is how many readings that rules wait for are named. A judgement.
const mostUnread = 8

// complaintReading is the reading that tells why the customer comes, where a pack
// has one of that name; an interview asks for it first.
const complaintReading = "complaint"

// newSheet works out the sheet of a job; id is unlike that of any other job of its
// document.
func newSheet(ctx context.Context, pack *engine.Pack, job *engine.Job, id string) (*sheet, error) {
	v, err := pack.Diagnose(ctx, job, engine.Options{Most: mostLeading})
	if err != nil {
		return nil, err
	}
	// Only what the sheet explains is explained, so that it names no danger of a
	// check or repair that is not on it.
	if n := max(1, len(leadingFaults(v))); n < mostLeading {
		if v, err = pack.Diagnose(ctx, job, engine.Options{Most: n}); err != nil {
			return nil, err
		}
	}
	next, err := pack.Next(ctx, job, engine.NextOptions{Most: -1})
	if err != nil {
		return nil, err
	}
	b := &sheetBuilder{pack: pack, job: job, v: v, next: next, s: &sheet{ID: id}, names: map[string]string{}, cautions: map[string]string{}}
	b.build()
	return b.s, nil
}

// sheetBuilder turns a verdict and an advice into a sheet.
type sheetBuilder struct {
	pack     *engine.Pack
	job      *engine.Job
	v        *engine.Verdict
	next     *engine.Next
	s        *sheet
	names    map[string]string // what readings are called, by id
	cautions map[string]string // texts by id
}

func (b *sheetBuilder) build() {
	for _, c := range b.pack.List() {
		switch c.Kind {
		case "reading":
			b.names[c.ID] = c.Label
		case "caution":
			b.cautions[c.ID] = c.Label
		}
	}
	b.heading()
	b.setUp()
	b.after()
	b.readings()
	b.ranking()
	b.leading()
	b.open()
	b.checks()
	b.answer()
	b.unread()
	b.notices()
}

func (b *sheetBuilder) heading() {
	s := b.s
	s.Title, s.Pack, s.Car = b.job.Name, b.v.Pack, "no vehicle named"
	if s.Title == "" {
		s.Title = "Job without a name"
	}
	if c := b.v.Vehicle; c != nil {
		s.Car, s.Source, s.Demo = c.Label, c.Source, c.Demo
	}
	s.Complaint = b.complaint()
	if b.job.Note != "" {
		s.Notes = append(s.Notes, sheetNote{"Note", b.job.Note})
	}
	for _, set := range b.job.InSets() {
		if set.Note != "" {
			s.Notes = append(s.Notes, sheetNote{"Note, " + set.Label, set.Note})
		}
	}
}

// complaint is what the customer came with, and after a repair with what now.
func (b *sheetBuilder) complaint() string {
	if f := b.v.FollowUp; f != nil {
		for _, c := range f.Changes {
			if c.Reading == complaintReading {
				return fmt.Sprintf("%s; %s: %s", c.Before, f.Sets[len(f.Sets)-1], c.After)
			}
		}
		for _, n := range f.NotAgain {
			if n.Reading == complaintReading {
				return n.Before
			}
		}
	}
	for _, r := range b.v.Readings {
		if r.Reading == complaintReading {
			return r.Text
		}
	}
	return ""
}

// answer says first what the readings come to, and what to do now.
func (b *sheetBuilder) answer() {
	a := &b.s.Answer
	f := b.v.FollowUp
	switch {
	case f != nil && f.InOrder:
		a.Heads = []string{"In order: every setting and every odd result"}
	case f != nil && len(f.StillOdd)+len(f.Out) > 0:
		a.Heads = []string{"Still odd after the repair"}
	case f != nil:
		a.Heads = []string{"Nothing odd so far, but not all is known"}
	case !speaks(b.v):
		a.Heads = []string{"No rule can speak yet"}
		a.Lines = append(a.Lines, "What stands in the ranking is how common each fault is.")
	case len(b.v.Faults) > 0:
		b.lead()
	}
	if f == nil && b.s.Together != "" {
		a.Lines = append(a.Lines, b.s.Together)
	}
	for _, p := range b.s.SetUp {
		if p.Known && !p.Met {
			a.Lines = append(a.Lines, "Set-up not met: "+p.Label)
		}
	}
	if b.s.Advice != "" {
		a.Lines = append(a.Lines, b.s.Advice)
	}
}

// lead names the faults that are more likely there than not; where none is, those
// that are explained, as what they are.
func (b *sheetBuilder) lead() {
	a := &b.s.Answer
	var open []string
	for _, l := range b.s.Leading {
		if l.chance >= 0.5 {
			a.Heads = append(a.Heads, l.Label+": "+l.Chance)
		} else {
			open = append(open, fmt.Sprintf("%s (%s)", l.Label, l.Chance))
		}
	}
	if len(a.Heads) == 0 {
		a.Heads = []string{"Not decided yet: no fault is more likely than not"}
	}
	if len(open) > 0 {
		a.Lines = append(a.Lines, "Also possible: "+strings.Join(open, "; "))
	}
}

// name is what a reading is called.
func (b *sheetBuilder) name(id string) string {
	if n := b.names[id]; n != "" {
		return n
	}
	return id
}

func (b *sheetBuilder) nameAll(ids []string) string {
	var out []string
	for _, id := range ids {
		out = append(out, b.name(id))
	}
	return strings.Join(out, "; ")
}

// warn gives the texts of cautions.
func (b *sheetBuilder) warn(ids ...[]string) []string {
	var out []string
	for _, id := range slices.Concat(ids...) {
		if text := b.cautions[id]; !slices.Contains(out, text) {
			out = append(out, text)
		}
	}
	return out
}

// unread names what most rules wait for.
func (b *sheetBuilder) unread() {
	if b.next.Do == engine.DoNothing {
		return
	}
	for i, m := range b.v.Missing {
		if i == mostUnread && m.Reason == "" {
			b.s.Unread = append(b.s.Unread, fmt.Sprintf("and %d more", len(b.v.Missing)-i))
			break
		}
		text := m.Label
		if m.Reason != "" {
			text += " (" + m.Reason + ")"
		}
		b.s.Unread = append(b.s.Unread, text)
	}
	for _, m := range b.v.Figures {
		b.s.Unlooked = append(b.s.Unlooked, m.Label)
	}
}

// notices end a sheet: whose figures count, and who decides.
func (b *sheetBuilder) notices() {
	n := []string{}
	if b.s.Demo {
		n = append(n, "This car is invented and its figures are for demonstration. Do not set a real car by them.")
	}
	if b.s.Source != "" {
		n = append(n, "Where the figures come from: "+b.s.Source+".")
	}
	n = append(n, "The figures for a car come from its maker's manual; where this sheet differs, the manual is right.",
		"On emissions local law decides, and a licensed inspection.")
	if b.v.Notice != "" {
		n = append(n, b.v.Notice)
	}
	b.s.Notices = n
}

// uncertain writes ±2 standard uncertainties with two significant digits.
func uncertain(u *float64) string {
	if u == nil || *u <= 0 {
		return ""
	}
	x := 2 * *u
	digits := max(0, 1-int(math.Floor(math.Log10(x))))
	if digits > 6 {
		return "±" + strconv.FormatFloat(x, 'g', 2, 64)
	}
	return "±" + strconv.FormatFloat(x, 'f', digits, 64)
}
