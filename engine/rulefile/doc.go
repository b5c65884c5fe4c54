// Package rulefile turns folders of YAML rule files into a checked Pack.
//
// Load reads all files of all folders, joins them, and checks everything that can be checked without readings:
// keys, types, ids, units, strengths, expressions, cycles. It gives either a Pack or every problem it found, each with
// file, line, column and what to do about it; never both.
//
// What a rule file may hold is written down once, in the key tables (Shape, Tables): the loader reads by them, and so
// do the reference of keys and the schema.
//
// Decisions that the format leaves open, each with a test:
//   - a spec's reference wants within, or from or to beside it: alone it would not say what is in order;
//   - an assumed reading is not derived as well, and neither choices nor traces are derived;
//   - of_itself and otherwise are below 1, since nothing can raise what is certain;
//   - a group of alternatives has two rules or more, so that a slip in its name is noticed;
//   - a fault brings a state once for each given;
//   - a check's minutes include its preparations, and its tools and cautions are those of its preparations too;
//   - a derived number has the unit in which its expression comes out, unless that multiplies or divides;
//   - when a file or section cannot be read, names that may be defined there are not called unknown, and errors in
//     expressions about a reading that is itself wrong are not reported.
//
// The package does not diagnose: a Pack is plain data and compiled expressions for others to use.
package rulefile
