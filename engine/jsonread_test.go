package engine

import (
	"bytes"
	"encoding/json"
	"fmt"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"

	"culprit/engine/source"
)

// FuzzReader: what is read of a text, and whether it is, is what encoding/json makes
// of it. Only texts that are no UTF-8, and those past our own limits, are refused
// beyond that. Two texts read one after the other by one reader are told as by two.
func FuzzReader(f *testing.F) {
	for _, seed := range []string{
		twentyReadings, hiddenLeak, `null`, `true`, `-0.5e-7`, `"x"`, `[]`, `{}`, `[1,"a",[{"b":null}],{}]`, "\ufeff[1]", " [1 ] ", `[1,]`, `{"a":1,}`, `[1 2]`, `{1:2}`, `{"a" 1}`,
		`"\u0041\n\"\\\/\ud83d\ude00"`, `["\ud800", "\udc00\ud800", "\ud800x", {"\ud800": "\ufffd"}]`, `{"a":1,"\u0061":2}`, `01`, `1.`, `.5`, `+1`, `1e`, `nul`, `nullx`, `1"a"`, `{}{}`, `[}`, "\"\t\"", "\"\x7f\u2028\"",
		`{"a":{"a":[{"a":[[[[[[[[[[[[[1]]]]]]]]]]]]]}]}}`, `[` + longKey + `]`, `{` + longKey + `:1}`,
	} {
		f.Add([]byte(seed), []byte(`{"readings": {"co": 1, "co": 2}}`))
	}
	f.Fuzz(func(t *testing.T, text, before []byte) {
		r := &reader{}
		ok := r.read(source.NewFile("x", text))
		wrong := r.err()
		whole := bytes.TrimPrefix(text, []byte("\ufeff"))
		if valid := json.Valid(whole); ok && !valid || !ok && wrong == nil {
			t.Fatalf("read: %v; JSON: %v; %v", ok, valid, wrong)
		} else if valid != ok && r.values < 16 && bytes.Equal(bytes.ToValidUTF8(whole, nil), whole) {
			t.Fatalf("JSON that was refused: %v", wrong)
		}
		if ok && wrong == nil {
			d := json.NewDecoder(bytes.NewReader(whole))
			d.UseNumber()
			var want any
			if err := d.Decode(&want); err != nil {
				t.Fatal(err)
			}
			if diff := cmp.Diff(want, r.plain(0)); diff != "" {
				t.Fatal(diff)
			}
		}
		again := &reader{}
		again.read(source.NewFile("x", before))
		again.err()
		if again.read(source.NewFile("x", text)) != ok || fmt.Sprint(again.err()) != fmt.Sprint(wrong) || !slices.Equal(again.nodes, r.nodes) {
			t.Fatal("a reader that has read before reads otherwise")
		}
	})
}

// longKey is longer than a key may be.
var longKey = `"` + string(bytes.Repeat([]byte("k"), maxKeyBytes+1)) + `"`

// plain is a value as encoding/json has it.
func (t *tree) plain(i int) any {
	switch t.kind(i) {
	case jsonText:
		return t.said(i)
	case jsonNumber:
		return json.Number(t.said(i))
	case jsonYesNo:
		return t.nodes[i].yes
	case jsonList:
		out := []any{}
		for _, item := range t.items(i) {
			out = append(out, t.plain(item))
		}
		return out
	case jsonObject:
		out := map[string]any{}
		for key, item := range t.keys(i) {
			out[t.said(key)] = t.plain(item)
		}
		return out
	}
	return nil
}

// TestKeysOfOneObject: keys that stand there twice are found in objects of any size, and
// where their letters are written differently.
func TestKeysOfOneObject(t *testing.T) {
	for _, count := range []int{1, 2, fewKeys - 1, fewKeys, fewKeys + 1, 3 * fewKeys, 2000} {
		for _, twice := range []int{0, count / 2, count - 1} {
			var text bytes.Buffer
			for k := range count {
				text.WriteString(map[bool]string{true: "{", false: ","}[k == 0])
				text.WriteString(key(k) + ":[]")
			}
			text.WriteString(`,"\u006b` + key(twice)[2:] + `:1}`)
			r := &reader{}
			ok := r.read(source.NewFile("x", text.Bytes()))
			if problems := r.mistakes.list; !ok || len(problems) != 1 || problems[0].Other == nil ||
				problems[0].Other.Column != 1+bytes.Index(text.Bytes(), []byte(key(twice))) {
				t.Errorf("%d keys, number %d twice: %v", count, twice, problems)
			}
			if n := len(r.plain(0).(map[string]any)); n != count {
				t.Errorf("%d keys, number %d twice: %d were kept", count, twice, n)
			}
		}
	}
}

// key makes keys that all begin with k, and many of which have as many letters.
func key(k int) string {
	text, _ := json.Marshal("k" + string(rune('a'+k%26)) + string(rune('a'+k/26%26)) + string(rune('a'+k/676)))
	return string(text)
}
