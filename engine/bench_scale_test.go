//go:build unix

package engine

import (
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"culprit/engine/rulefile"
)

// writeSystems writes a pack of a number of systems into a folder, one file each,
// of about the make-up of the shipped pack: 38 faults, 11 conditions, 75 rules and
// as many readings, a check for every ten. It holds no text that is read by people.
func writeSystems(t testing.TB, dir string, systems int) (bytes int) {
	r := rand.New(rand.NewPCG(1, uint64(systems)))
	for s := range systems {
		var y strings.Builder
		line := func(format string, args ...any) { fmt.Fprintf(&y, format+"\n", args...) }
		if s == 0 {
			line("about: {label: Many systems, last_resort: {label: Hand it on, minutes: 240, do: Hand it on}}")
		}
		line("readings:")
		for i := range 75 {
			line("  r%d-%d: {label: Reading %d of %d, unit: mA}", s, i, i, s)
		}
		text := strings.ReplaceAll(y.String(), fmt.Sprintf("r%d-", s), fmt.Sprintf("r%d_", s))
		y.Reset()
		line("conditions:")
		for c := range 11 {
			line("  c%d-%d: {label: Condition %d of %d, states: {much: too much, little: too little}, of_itself: {much: rarely, little: rarely}}", s, c, c, s)
		}
		state := func() string { return fmt.Sprintf("c%d-%d.%s", s, r.IntN(11), []string{"much", "little"}[r.IntN(2)]) }
		line("faults:")
		for f := range 38 {
			line("  f%d-%d:\n    label: Fault %d of %d\n    per_1000: %d\n    settle: k%d-%d\n    repair: {minutes: 40, do: Mend it}\n    brings:", s, f, f, s, 5+r.IntN(90), s, f%8)
			seen := map[string]bool{}
			for range 1 + r.IntN(4) {
				if at := state(); !seen[at] {
					seen[at] = true
					condition, which, _ := strings.Cut(at, ".")
					line("      - {condition: %s, state: %s, how_often: usually}", condition, which)
				}
			}
		}
		line("rules:")
		for k := range 75 {
			line("  u%d-%d: {says: Reading %d of %d is high, when: r%d_%d > 10, shows: {%s: nearly-always}, otherwise: rarely, because: It is}", s, k, k, s, s, k, state())
		}
		line("checks:")
		for k := range 8 {
			line("  k%d-%d:\n    label: Check %d of %d\n    minutes: 10\n    yields:", s, k, k, s)
			for i := k; i < 75; i += 8 {
				line("      - r%d_%d", s, i)
			}
		}
		text += y.String()
		bytes += len(text)
		if err := os.WriteFile(filepath.Join(dir, fmt.Sprintf("system-%d.yaml", s)), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	return bytes
}

// BenchmarkScale loads packs of many systems and works on a job with 22 readings of
// one of them: go test -run '^$' -bench Scale ./engine
func BenchmarkScale(b *testing.B) {
	for _, systems := range []int{1, 10, 100, 300} {
		b.Run(fmt.Sprintf("x%d", systems), func(b *testing.B) {
			dir := b.TempDir()
			bytes := writeSystems(b, dir, systems)
			p, err := Open(Sources{Pack: dir})
			if err != nil {
				b.Fatal(err)
			}
			b.Run("open", func(b *testing.B) {
				perQuery(b, func() error { _, err := Open(Sources{Pack: dir}); return err })
				b.ReportMetric(float64(bytes)/1e6, "MB-of-files")
			})
			var readings []string
			for i := range 22 {
				readings = append(readings, fmt.Sprintf(`"r0_%d": %d`, 3*i, 5+8*(i%3/2)))
			}
			j := parse(b, `{"readings": {`+strings.Join(readings, ",")+`}}`)
			line := `{"readings": {` + strings.Join(readings, ",") + "}}\n"
			b.Run("brief", func(b *testing.B) {
				perQuery(b, func() error {
					_, err := p.Stream(b.Context(), strings.NewReader(line), io.Discard, StreamOptions{Workers: 1})
					return err
				})
			})
			b.Run("diagnose", func(b *testing.B) {
				b.ReportAllocs()
				perQuery(b, func() error { _, err := p.Diagnose(b.Context(), j, Options{}); return err })
			})
		})
	}
}

// TestMostSystems: of such packs, the limit on the bytes of a pack is met first, and
// says so.
func TestMostSystems(t *testing.T) {
	dir := t.TempDir()
	if bytes := writeSystems(t, dir, 330); bytes <= rulefile.MaxBytes {
		t.Fatalf("%d bytes do not try the limit", bytes)
	}
	_, err := Open(Sources{Pack: dir})
	if want := fmt.Sprintf("more than %d bytes", rulefile.MaxBytes); err == nil || !strings.Contains(err.Error(), want) {
		t.Errorf("%v, want %q", err, want)
	}
}

// perQuery measures the computing time of do, which other work on the machine moves
// less than the clock's.
func perQuery(b *testing.B, do func() error) {
	used := func() int64 {
		var u syscall.Rusage
		if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
			b.Fatal(err)
		}
		return u.Utime.Nano() + u.Stime.Nano()
	}
	before, asked := used(), 0
	for b.Loop() {
		if err := do(); err != nil {
			b.Fatal(err)
		}
		asked++
	}
	b.ReportMetric(float64(used()-before)/float64(asked), "cpu-ns")
}
