package source

import "fmt"

// detailed is how many problems of one report get the dear treatment: the exact place inside a scalar and the
// nearest known name. Far more than are ever shown, few enough that a hostile file stays cheap.
const detailed = 200

// A Report collects problems while something is read. The zero value is ready.
type Report struct {
	Problems Problems
	names    int // how often Near looked
}

// Add takes a problem as it is and gives it back for a Hint or an Other place to be put in.
// The pointer is good until the next call.
func (r *Report) Add(p Problem) *Problem {
	r.Problems = append(r.Problems, p)
	return &r.Problems[len(r.Problems)-1]
}

// Merge takes over what another report found.
func (r *Report) Merge(other *Report) {
	r.Problems = append(r.Problems, other.Problems...)
	r.names += other.names
}

// At reports something about the whole of what stands at s.
func (r *Report) At(s Spot, format string, args ...any) *Problem {
	return r.Within(s, 0, len(s.text), format, args...)
}

// Within reports something about width bytes at offset in the text that stands at s.
func (r *Report) Within(s Spot, offset, width int, format string, args ...any) *Problem {
	p := Problem{Pos: s.Pos, Width: 1, Text: fmt.Sprintf(format, args...)}
	if len(r.Problems) < detailed {
		p.Pos, p.Width = s.At(offset, width)
	}
	return r.Add(p)
}

// Near gives the hint for an unknown name: the nearest of the candidates as a question, or otherwise.
// candidates is only asked while somebody may still read the answer.
func (r *Report) Near(name string, otherwise string, candidates func() []string) string {
	if r.names++; r.names > detailed {
		return otherwise
	}
	if near := Nearest(name, candidates()); near != "" {
		return fmt.Sprintf("did you mean %q?", near)
	}
	return otherwise
}
