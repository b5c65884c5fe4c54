package main

import "testing"

// TestSheetGuide does what docs/sheet.md tells its reader to do, as TestGuides does
// for other pages.
func TestSheetGuide(t *testing.T) { holdGuide(t, "sheet.md") }
