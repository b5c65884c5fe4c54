package rulefile

import "culprit/engine/source"

// ReadForm says what is wrong with the form of one rule file: its keys, and what stands at each, as far as that shows without
// the rest of the pack and without reading its expressions. The error is a [source.Problems]; nil where the form is right.
func ReadForm(f *source.File) error {
	var r reading
	r.read(f)
	return r.report.Problems.Err()
}
