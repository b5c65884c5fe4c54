package rulefile

import (
	"fmt"
	"strconv"
	"strings"

	"culprit/engine/source"
)

// howOftenWords are the words for probabilities, from often to seldom. The numbers are judgement, no source.
var howOftenWords = []struct {
	Word string
	P    float64
}{
	{"always", 0.99}, {"nearly-always", 0.95}, {"usually", 0.80}, {"often", 0.60},
	{"sometimes", 0.30}, {"seldom", 0.10}, {"rarely", 0.03}, {"hardly-ever", 0.01},
}

// HowOften goes over the words for probabilities, from often to seldom.
func HowOften(yield func(word string, p float64) bool) {
	for _, w := range howOftenWords {
		if !yield(w.Word, w.P) {
			return
		}
	}
}

var howOften = howOftenType()

func howOftenType() source.Type[float64] {
	var words []string
	for _, w := range howOftenWords {
		words = append(words, w.Word)
	}
	number := source.Number(source.NumberFrom(0, false, 1, false))
	shape := &source.Shape{
		Form: source.FormEither, Name: "how often: a word or a number from 0 to 1", Thing: "how often",
		Choices: []*source.Shape{source.Word(words...).Shape, number.Shape},
	}
	return source.Type[float64]{Shape: shape, Read: func(r *source.Report, n source.Node) (float64, bool) {
		text, ok := n.Text()
		if !ok {
			if n.IsNumber() {
				return number.Read(r, n)
			}
			source.Wants(r, n, shape)
			return 0, false
		}
		for _, w := range howOftenWords {
			if w.Word == text {
				return w.P, true
			}
		}
		r.At(n.Spot(), "%q is not a word for how often", source.Shorten(text)).Hint = howOftenHint(r, text, words)
		return 0, false
	}}
}

// howOftenHint says what to write for text that is no word for how often.
func howOftenHint(r *source.Report, text string, words []string) string {
	if percent, ok := strings.CutSuffix(strings.TrimSpace(text), "%"); ok {
		return fmt.Sprintf("write a number from 0 to 1 for %s %%", strings.TrimSpace(percent))
	}
	if _, err := strconv.ParseFloat(strings.Replace(text, ",", ".", 1), 64); err == nil && strings.Contains(text, ",") {
		return "write a decimal point, not a comma"
	}
	if _, err := strconv.ParseFloat(text, 64); err == nil {
		return "write a number from 0 to 1, without quotes"
	}
	return r.Near(text, "the words are "+list(words), func() []string { return words })
}
