package rulefile

import (
	"fmt"
	"strings"
	"testing"
)

// BenchmarkLoad loads a pack of about 150 kB with 40 readings, 40 faults and 120 rules in 20 files: as large as a pack for one kind of
// car is, most of it text for people.
func BenchmarkLoad(b *testing.B) {
	f, size := largePack()
	b.SetBytes(int64(size))
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Load(f); err != nil {
			b.Fatal(err)
		}
	}
}

func largePack() (f Folder, size int) {
	doc := strings.Repeat("It is measured as usual, with the engine warm. ", 12)
	var files []string
	for i := range 20 {
		var t strings.Builder
		fmt.Fprintf(&t, "readings:\n  number_%d:\n    label: Number %d\n    unit: mA\n    plausible: {from: -100, to: 200}\n    accuracy: {within: 0.2, percent: 1}\n    doc: %s\n", i, i, doc)
		fmt.Fprintf(&t, "  seen_%d: {label: Seen %d, kind: yes/no, how: Look}\n", i, i)
		fmt.Fprintf(&t, "conditions:\n  state-%d: {label: State %d, states: {high: too high, low: too low}, of_itself: {high: rarely, low: rarely}, doc: \"%s\"}\n", i, i, doc)
		t.WriteString("faults:\n")
		for k := range 2 {
			fmt.Fprintf(&t, "  fault-%d-%d:\n    label: Fault\n    per_1000: 12\n    doc: %s\n    brings:\n", i, k, doc)
			fmt.Fprintf(&t, "      - {condition: state-%d, state: high, how_often: often, given: seen_%d}\n      - {condition: state-%d, state: low, how_often: usually}\n", i, i, i)
		}
		t.WriteString("rules:\n")
		for k := range 6 {
			fmt.Fprintf(&t, "  rule-%d-%d:\n    says: The number is high\n    given: seen_%d\n    when: high(number_%d) or number_%d > %d\n    shows: {state-%d.high: often}\n    otherwise: rarely\n    because: %s\n",
				i, k, i, i, i, k, i, doc)
		}
		size += t.Len()
		files = append(files, fmt.Sprintf("%02d.yaml", i), t.String())
	}
	return folder("pack", files...), size
}

// BenchmarkReport loads a pack in which every rule is wrong: what an error costs is paid only here.
func BenchmarkReport(b *testing.B) {
	var text strings.Builder
	text.WriteString("readings: {co: {label: CO}}\nrules:\n")
	for i := range 200 {
		fmt.Fprintf(&text, "  r%d:\n    says: High\n    when: |\n      high(co) and\n      low(c0)\n    shows: {mixture.rich: often}\n    otherwise: rarely\n", i)
	}
	f := folder("pack", "a.yaml", text.String())
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Load(f); err == nil {
			b.Fatal("loaded")
		}
	}
}
