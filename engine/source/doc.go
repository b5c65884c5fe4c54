// Package source is about text that people wrote: where things stand in it, what is wrong with it,
// and how to say so with a line and a caret.
//
// Parse reads one YAML document strictly (no anchors, no tags, no second document, bounded in size and depth)
// and gives its top Node. A Table says which keys a thing has, of which type; its Read turns a Node into a Go
// struct and puts everything that is wrong into a Report. The same tables describe themselves (Shape), so the
// reference of keys cannot differ from what is read. Report.Problems sorts and formats what was found.
//
// Every value that was read keeps its Spot, from which the place of any byte of its text can be worked out, in
// all five scalar styles: an error inside an expression points at the character that the author typed.
//
// The package knows nothing of rules, readings or cars, and does no evaluation.
//
// Messages are lower case without a full stop, what the user wrote stands in quotes, and a hint has its own line.
package source
