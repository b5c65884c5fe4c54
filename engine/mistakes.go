package engine

import (
	"fmt"
	"strings"

	"culprit/engine/source"
)

// mistakes collects what is wrong with a job, up to a number that nobody
// reads; a hostile job cannot make it grow, and the rest is said to be there.
type mistakes struct {
	list Problems
	more bool
}

const maxMistakes = 200

// stop tells whether enough is wrong; who asks has found more.
func (l *mistakes) stop() bool {
	full := len(l.list) >= maxMistakes
	l.more = l.more || full
	return full
}

func (l *mistakes) add(p source.Problem) {
	if l.stop() {
		return
	}
	p.Width = max(1, p.Width)
	l.list = append(l.list, p)
}

// err is the list in the order of the text, or nil when nothing is wrong.
func (l *mistakes) err() error {
	l.list.Sort()
	if l.more {
		l.list = append(l.list, source.Problem{Pos: l.list[0].Pos.File.Whole(), Width: 1,
			Text: fmt.Sprintf("there is more; only the first %d mistakes found are listed", maxMistakes)})
	}
	return l.list.Err()
}

// short cuts a text that somebody gave to what a message can hold.
func short(text string) string {
	const most = 60
	if len(text) <= most {
		return text
	}
	return strings.ToValidUTF8(text[:most], "") + "…"
}
