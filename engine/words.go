package engine

import (
	"fmt"
	"strings"
	"unicode/utf8"

	"culprit/engine/source"
)

// AddWords puts readings written as name=value words into a job, where it has
// several sets of readings into the last; they win over what it says already. The
// value is text as a person types it, with or without a unit; "null" means that
// the reading was not taken. The error is a [Problems] about words without a name,
// an '=' or a value, and about a reading that is given twice; the other words are
// in the job then.
func (j *Job) AddWords(words []string) error {
	if len(words) == 0 {
		return nil
	}
	// The words are a text of their own, one a line, so that messages about
	// them have a place and a caret like any other.
	f := source.NewFile("words", []byte(strings.Join(words, "\n")))
	var problems Problems
	first := map[string]source.Pos{}
	for i, word := range words {
		if strings.ContainsAny(word, "\n\r") {
			problems = append(problems, source.Problem{Pos: f.Whole(), Text: "a word holds a line break"})
			break
		}
		id, value, ok := strings.Cut(word, "=")
		id = strings.TrimSpace(id)
		at := source.Pos{File: f, Line: i + 1, Column: 1}
		if !ok || id == "" {
			problems = append(problems, source.Problem{Pos: at, Width: utf8.RuneCountInString(word),
				Text: "a reading is written name=value", Hint: `for example idle_speed=850, or co="1.9 %"`})
			continue
		}
		if before, twice := first[id]; twice {
			problems = append(problems, source.Problem{Pos: at, Width: utf8.RuneCountInString(id),
				Text: fmt.Sprintf("the reading %q stands here twice", id), Other: &before})
			continue
		}
		first[id] = at
		if value = strings.TrimSpace(value); value == "" {
			problems = append(problems, source.Problem{Pos: at, Width: utf8.RuneCountInString(word),
				Text: fmt.Sprintf("%q has no value", short(id)), Hint: fmt.Sprintf("write %s=null where it was not taken", short(id))})
			continue
		}
		j.addWord(id, value, at)
	}
	return problems.Err()
}

func (j *Job) addWord(id, value string, at source.Pos) {
	into, path := &j.Readings, "readings."+id
	if k := len(j.Sets) - 1; k >= 0 {
		into, path = &j.Sets[k].Readings, j.Sets[k].path(k)+path
	}
	if *into == nil {
		*into = map[string]Value{}
	}
	v := Text(value)
	if value == "null" {
		v = Value{}
	}
	(*into)[id] = v
	j.Place(path, at, utf8.RuneCountInString(id))
	at.Column += utf8.RuneCountInString(id) + 1
	j.Place(path+"=", at, utf8.RuneCountInString(value))
}
