package schema

import (
	"encoding/json"
	"maps"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"culprit/engine"
)

// things is what a mutation writes somewhere, as JSON. There is nothing in it that only the way of writing tells apart.
var things = []string{`null`, `true`, `false`, `""`, `" "`, `"x"`, `"Bad Id"`, `"nearly-always"`, `"often"`, `"unmeasured-air"`, `"volts < 12"`, `"25 psi"`,
	`"12 parsecs"`, `"1.9 % ± 0.1"`, `0`, `1`, `-1`, `0.5`, `1.5`, `1000`, `2e5`, `[]`, `["x"]`, `[1, null]`, `{}`, `{"x": "y"}`,
	`{"value": 1}`, `{"every": "1 s", "values": [1]}`, `{"from": 1, "to": "2 V"}`}

var names = []string{"x", "Bad Id", "label", "from", "within", "value", "every", "rank", "doc", "unit", "excuse", "shows", "spec", "readings"}

// mutate changes one spot of a value, in place where it can.
func mutate(r *rand.Rand, x any) any {
	var pick any
	if err := json.Unmarshal([]byte(things[r.IntN(len(things))]), &pick); err != nil {
		panic(err)
	}
	switch x := x.(type) {
	case map[string]any:
		keys := slices.Sorted(maps.Keys(x))
		if len(keys) == 0 || r.IntN(6) == 0 {
			x[names[r.IntN(len(names))]] = pick
			return x
		}
		key := keys[r.IntN(len(keys))]
		switch r.IntN(12) {
		case 0:
			delete(x, key)
		case 1:
			x[names[r.IntN(len(names))]] = x[key]
			delete(x, key)
		case 2:
			x[key] = pick
		default:
			x[key] = mutate(r, x[key])
		}
		return x
	case []any:
		if len(x) == 0 || r.IntN(8) == 0 {
			return append(x, pick)
		}
		i := r.IntN(len(x))
		x[i] = mutate(r, x[i])
		return x
	}
	return pick
}

// plainly writes a value as JSON, which is YAML too. The words yes and no become true and false, as YAML 1.1 has them.
func plainly(t testing.TB, x any) string {
	t.Helper()
	var walk func(x any) any
	walk = func(x any) any {
		switch x := x.(type) {
		case map[string]any:
			for k := range x {
				x[k] = walk(x[k])
			}
		case []any:
			for i := range x {
				x[i] = walk(x[i])
			}
		case string:
			if x == "yes" || x == "no" {
				return x == "yes"
			}
		}
		return x
	}
	text, err := json.Marshal(walk(x))
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// TestAgree: of files with a slip somewhere, the schema takes those whose form the program takes, and no others.
func TestAgree(t *testing.T) {
	rounds := 1500
	if testing.Short() {
		rounds = 300
	}
	pack := open(t)
	r := rand.New(rand.NewPCG(1, 2))
	for _, k := range kinds {
		texts := []string{base[k.name]}
		if k.name == "job" {
			texts = append(texts, base["job with sets"])
		}
		all := shipped(t, k.name)
		for _, name := range slices.Sorted(maps.Keys(all)) {
			if len(all[name]) < 6000 {
				texts = append(texts, all[name])
			}
		}
		taken, refused := 0, 0
		for range rounds {
			v, ok := value(k.name, texts[r.IntN(len(texts))])
			if !ok {
				t.Fatal(k.name)
			}
			for range 1 + r.IntN(2) {
				v = mutate(r, v)
			}
			text := plainly(t, v)
			v, _ = value(k.name, text)
			schemaErr, formErr := validate(t, k.name, v), form(k.name, text)
			if schemaErr == nil {
				taken++
			} else {
				refused++
			}
			switch {
			case formErr != nil && strings.Contains(told(formErr), "expects nothing") && !strings.Contains(formErr.Error(), "\n"):
			case schemaErr != nil && formErr == nil:
				// What ids look like that are only named, and in cases and jobs what figures are, is left to the pack.
				if whole(t, pack, k.name, text) == nil {
					t.Fatalf("%s: the program takes it, and the schema says %.500v:\n%s", k.name, schemaErr, text)
				}
			case schemaErr == nil && formErr != nil:
				t.Fatalf("%s: the schema takes it, and the program says %s", k.name, told(formErr))
			}
		}
		if taken < rounds/20 || refused < rounds/20 {
			t.Errorf("%s: %d taken, %d refused: this tries little", k.name, taken, refused)
		}
	}
}

// FuzzAgree: whatever the program takes, the schema takes.
func FuzzAgree(f *testing.F) {
	for i, k := range kinds {
		f.Add(uint8(i), base[k.name])
		for _, text := range shipped(f, k.name) {
			if len(text) < 3000 {
				f.Add(uint8(i), text)
			}
		}
	}
	pack := open(f)
	f.Fuzz(func(t *testing.T, i uint8, text string) {
		kind := engine.SchemaKinds[int(i)%len(kinds)]
		if form(kind, text) != nil {
			return
		}
		v, ok := value(kind, text)
		if !ok {
			t.Fatalf("%s: the program takes what has no data", kind)
		}
		if err := validate(t, kind, v); err != nil && whole(t, pack, kind, text) == nil {
			t.Errorf("%s: the program takes it, and the schema says %.500v:\n%s", kind, err, text)
		}
	})
}
