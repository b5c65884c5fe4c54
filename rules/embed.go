// Package rules carries the rule packs that ship inside the program.
//
// Use FS with the name of a pack, such as "continuous-injection", as the folder to load; engine.Open does so for
// a pack that is asked for by name. The package holds knowledge only: it neither reads nor checks the files,
// which is the work of engine/rulefile.
package rules

import "embed"

// FS holds one folder of YAML files for each shipped pack, named after the pack.
//
//go:embed continuous-injection starting-and-charging
var FS embed.FS

// Schemas holds the JSON Schemas of rule files, case files, jobs and records; they are no pack. Tests in the folder write them anew.
//
//go:embed schema/*.schema.json
var Schemas embed.FS
