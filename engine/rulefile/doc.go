// Package rulefile turns folders of YAML rule files into a checked Pack.
//
// Load reads all files of all folders, joins them, and checks everything that can be checked without readings:
// keys, types, ids, units, strengths, expressions, cycles. It gives either a Pack or every problem it found, each with
// file, line, column and what to do about it; never both.
//
// What a rule file may hold is written down once, in the key tables (Shape, Tables): the loader reads by them, and so
// do the reference of keys and the schema.
//
// The package does not diagnose: a Pack is plain data and compiled expressions for others to use.
package rulefile
