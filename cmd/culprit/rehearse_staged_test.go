package main

import (
	"context"
	"encoding/json"
	"encoding/xml"
	"errors"
	"io"
	"strings"
	"testing"

	"culprit/cases/modelcar"
	"culprit/cases/score"
	"culprit/engine"
)

// TestMisledSeedsAreThose: the seed that is told with a confusion gives with stage the very car, with the fault that it
// has and the one that it is taken for.
func TestMisledSeedsAreThose(t *testing.T) {
	o := stageOptions{packOptions: packOptions{pack: engine.DefaultPack}, vehicle: modelcar.Designs[0].ID, checks: "first-five"}
	b, err := o.stagehand()
	if err != nil {
		t.Fatal(err)
	}
	table, err := score.Rules(context.Background(), b.pack, score.Options{Jobs: 60, Seed: 1, Checks: score.First, Faults: score.One})
	if err != nil {
		t.Fatal(err)
	}
	if len(table.Confused) < 3 {
		t.Fatalf("only %d confusions", len(table.Confused))
	}
	for _, c := range table.Confused {
		it, err := b.draw(c.Seed, []string{anyFault})
		if err != nil {
			t.Fatal(err)
		}
		text, err := b.job(it, false)
		if err != nil {
			t.Fatal(err)
		}
		var staged struct {
			Truth struct {
				Faults []struct{ Fault string }
			}
		}
		if err := json.Unmarshal(text, &staged); err != nil {
			t.Fatal(err)
		}
		job, err := b.pack.ParseJob("staged", text)
		if err != nil {
			t.Fatal(err)
		}
		v, err := b.pack.Diagnose(context.Background(), job, engine.Options{Most: -1})
		if err != nil {
			t.Fatal(err)
		}
		if is := staged.Truth.Faults[0].Fault; is != c.Truth || v.Faults[0].Fault != c.Led {
			t.Errorf("seed %d has %s and is taken for %s; the score says %s, taken for %s", c.Seed, is, v.Faults[0].Fault, c.Truth, c.Led)
		}
	}
}

// TestReliabilityIsDrawn: the picture is whole XML, with a point for every tenth that has cars.
func TestReliabilityIsDrawn(t *testing.T) {
	table := &score.Table{Jobs: 5, Checks: score.First, Calibration: score.Calibrate([]float64{0.1, 0.5, 0.55, 0.9, 1}, []bool{false, true, false, true, true}, 10)}
	text := reliability(table)
	points := 0
	for d := xml.NewDecoder(strings.NewReader(text)); ; {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			t.Fatal(err)
		}
		if e, ok := token.(xml.StartElement); ok && e.Name.Local == "circle" {
			points++
		}
	}
	if points != len(table.Calibration.Bins) || points != 3 {
		t.Errorf("%d points for %d tenths", points, len(table.Calibration.Bins))
	}
}
