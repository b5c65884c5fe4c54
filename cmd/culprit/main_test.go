package main

import (
	"flag"
	"os"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

var update = flag.Bool("update", false, "rewrite the expected output in testdata/script")

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"culprit": main})
}

// TestScript runs the real program through its stories: one a file.
func TestScript(t *testing.T) {
	jobs, err := os.Getwd()
	if err != nil {
		t.Fatal(err)
	}
	testscript.Run(t, testscript.Params{
		Dir:           "testdata/script",
		UpdateScripts: *update,
		Setup: func(env *testscript.Env) error {
			env.Setenv("JOBS", jobs+"/../../cases")
			env.Setenv("COLUMNS", "80")
			return nil
		},
	})
}
