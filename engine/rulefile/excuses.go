package rulefile

import "culprit/engine/source"

// An Excuse says why something that a proofreader would find is meant so.
type Excuse struct {
	Finding string // the kind of finding
	Reason  string
	At      source.Spot // of the kind's name
}

type rawExcuses = source.Got[[]source.Entry[string]]

var excuseType = source.MapOf("excuse", idSpelling, idWording, source.Text)

// excuseKey is the key that excuses findings about a thing.
func excuseKey[T any](into func(*T) *rawExcuses) source.Row[T] {
	return source.Key("excuse", excuseType, into, "findings of proofread that are meant so, each with the reason why")
}

func excuses(raw rawExcuses) []Excuse {
	var all []Excuse
	for _, e := range raw.V {
		if e.Set {
			all = append(all, Excuse{e.ID, e.V, e.At})
		}
	}
	return all
}
