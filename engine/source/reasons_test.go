package source

import "testing"

// reasons gives the check that every row of a table test has a reason of its own.
func reasons(t *testing.T) func(reason string) {
	seen := make(map[string]bool)
	return func(reason string) {
		t.Helper()
		if reason == "" || seen[reason] {
			t.Fatalf("a row whose reason is %q: every row has one of its own", reason)
		}
		seen[reason] = true
	}
}
