package source

import "strings"

// A Form is the outline of what may be written. The zero value is text.
type Form uint8

const (
	FormText    Form = iota
	FormNumber       // a plain number, between Least and Most where they are given
	FormYesNo        // yes, no, true or false
	FormWord         // one of Words
	FormList         // a list of Of
	FormMap          // ids of the author's choosing (Pattern), each with a value of Of
	FormRecord       // a mapping with the keys of Keys
	FormEither       // any of Choices
	FormScalar       // text, a number or a yes/no value, taken as the text that stands there; with a Pattern no yes/no value
	FormNothing      // null, or left empty
	FormAny          // anything at all
)

// A Shape describes what may be written somewhere: for messages, for the reference of keys and for a schema.
// It is made together with what reads it (Type), so the two cannot differ.
type Shape struct {
	Form    Form
	Name    string // in a sentence: "text", "a number from 0 to 1", "a list of tools"
	Thing   string // FormRecord, FormMap for what it defines, and others that are used in many places: "fault", "link"
	Words   []string
	Pattern string // FormText, FormScalar and FormMap: the regular expression that text or ids match; "" for any
	Empty   bool   // FormText, FormList and FormMap: may be empty
	Whole   bool   // FormNumber: without a fraction
	Least   *float64
	Most    *float64
	Above   bool // Least itself is not allowed
	Below   bool // Most itself is not allowed
	Of      *Shape
	Choices []*Shape
	Keys    []KeyShape
	// Rivals are two keys of a record of which one has to be there, and not both; null is as good as not there for the second.
	Rivals [2]string
}

// A KeyShape describes one key of a record.
type KeyShape struct {
	Name     string
	Required bool
	Doc      string // one line: what it means, with its unit and its default
	Shape    *Shape
}

// keyNames gives the names of the keys of a record, in the order of the table.
func (s *Shape) keyNames() []string {
	names := make([]string, len(s.Keys))
	for i, k := range s.Keys {
		names[i] = k.Name
	}
	return names
}

// article puts "a" or "an" before a thing.
func article(thing string) string {
	if thing != "" && strings.ContainsRune("aeiou", rune(thing[0])) {
		return "an " + thing
	}
	return "a " + thing
}

// listWords writes names as "a, b or c".
func listWords(names []string, last string) string {
	if len(names) < 2 {
		return strings.Join(names, "")
	}
	k := len(names) - 1
	return strings.Join(names[:k], ", ") + " " + last + " " + names[k]
}
