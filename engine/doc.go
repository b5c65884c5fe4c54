// Package engine ranks the faults that could explain the readings of one car,
// explains every inference, and says how sure it is.
//
// Call [Open] for a [Pack] of rules, make a [Job] with [ParseJob] or by hand,
// and hand it to [Pack.Diagnose]: the [Verdict] is a plain struct that renders
// as text, JSON or HTML elsewhere. [Pack.Next] tells what to check next, [Pack.Stream]
// answers many jobs from a reader to a writer, and [Pack.Show] tells what a pack
// knows of an id.
//
// A Pack is safe for concurrent use and the package has no state of its own.
// Everything the caller can get wrong (unknown readings, units that do not fit,
// rule files with mistakes) comes back as a list of problems with places, never
// as a panic.
package engine
