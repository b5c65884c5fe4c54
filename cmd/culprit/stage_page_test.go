package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// TestPicturesOfTheModelCar holds the pictures in docs/model-car.md to the commands that the page says drew them.
func TestPicturesOfTheModelCar(t *testing.T) {
	page, err := os.ReadFile("../../docs/model-car.md")
	if err != nil {
		t.Fatal(err)
	}
	drawn := 0
	for _, line := range strings.Split(string(page), "\n") {
		command, ok := strings.CutPrefix(line, "    culprit ")
		if !ok || !strings.Contains(command, " --svg docs/") {
			continue
		}
		before, name, _ := strings.Cut(command, " --svg docs/")
		now := filepath.Join(t.TempDir(), name)
		if printed, status := sitting(append(words(t, before), "--svg", now)); status != exitDone {
			t.Fatal(printed)
		}
		got, err := os.ReadFile(now)
		if err != nil {
			t.Fatal(err)
		}
		if *update {
			if err := os.WriteFile("../../docs/"+name, got, 0o644); err != nil {
				t.Fatal(err)
			}
			continue
		}
		want, err := os.ReadFile("../../docs/" + name)
		if err != nil {
			t.Fatal(err)
		}
		if string(got) != string(want) {
			t.Errorf("docs/%s is not what culprit %s draws; run go test ./cmd/culprit -update", name, command)
		}
		if !strings.Contains(string(page), "]("+name+")") {
			t.Errorf("the page does not show %s", name)
		}
		drawn++
	}
	if drawn == 0 && !*update {
		t.Error("the page names no picture")
	}
}
