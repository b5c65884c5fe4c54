package main

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"

	"culprit/cases/modelcar"
)

// What the pupils of a class get beside their cars, and how many faults each car has.

// classCounts is how many faults each of n cars has: in every twelve one car none and two cars two, in places that the seed
// draws, so that nobody knows from the last class which car is sound.
func classCounts(n int, seed uint64) []int {
	r := rand.New(rand.NewPCG(seed, 12))
	var out []int
	for len(out) < n {
		twelve := []int{0, 2, 2, 1, 1, 1, 1, 1, 1, 1, 1, 1}
		r.Shuffle(len(twelve), func(i, k int) { twelve[i], twelve[k] = twelve[k], twelve[i] })
		out = append(out, twelve...)
	}
	return out[:n]
}

// pupilsSheet tells the pupils what they have, what they may ask for and what it takes, and in which words and units the answer is
// written down.
func (b *stagehand) pupilsSheet(n int) string {
	var t strings.Builder
	fmt.Fprintf(&t, "# %d cars\n\n", n)
	t.WriteString("Each file is a car as the bench sheet stands so far. A car may have one fault, two, or none. Find out what is wrong with as few\n" +
		"minutes of checks as you can, and say what proves it.\n\n" +
		"`culprit rank car-01.json` tells what the readings speak for, `culprit next car-01.json` what to check next. Ask the trainer for a\n" +
		"check below, write its readings into the file under `readings`, as `\"co\": 0.8`, `\"leak_found\": true` or `\"plug_look\": \"white\"`, and\n" +
		"look again. `culprit show co` tells how a reading is taken and which check yields it.\n\n" +
		"| check | min | readings |\n|---|---|---|\n")
	had := modelcar.ReadingIDs()
	for _, c := range b.pack.CheckOutlines() {
		var told []string
		for _, id := range c.Yields {
			if slices.Contains(had, id) && !slices.Contains(b.readings, id) {
				told = append(told, b.reading(id))
			}
		}
		if len(told) > 0 {
			fmt.Fprintf(&t, "| %s | %g | %s |\n", c.Label, c.Minutes, strings.Join(told, "; "))
		}
	}
	return t.String()
}

// reading is a reading with its unit, in words.
func (b *stagehand) reading(id string) string {
	text := "`" + id + "`"
	cards, err := b.pack.Show(id)
	if err != nil {
		return text
	}
	for _, c := range cards {
		if c.Kind != "reading" {
			continue
		}
		text += " " + c.Label
		for _, f := range c.Facts {
			if f.Name == "unit" {
				text += ", " + f.Text
			}
		}
	}
	return text
}
