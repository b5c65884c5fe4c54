package source

import (
	"strings"
	"unicode/utf8"
)

// maxName is the longest name, in bytes, for which a near one is looked for.
const maxName = 100

// Nearest gives the candidate that name is most likely a slip of: the one with the fewest single-letter
// insertions, deletions, changes and swaps of neighbours, at most one for every three letters of name (and
// not more than three), where case, '-', '_' and ' ' count as alike. The first of several equally near wins.
// Where none is so near, it is the one candidate whose first words name is, if there is just one: "warm-air-flap" for
// "warm-air-flap-stuck-hot". "" means that none is near.
func Nearest(name string, candidates []string) string {
	if name == "" || len(name) > maxName {
		return ""
	}
	folded := fold(name)
	limit := min((utf8.RuneCountInString(name)+2)/3, 3)
	best, least := "", limit+1
	for _, c := range candidates {
		if d := len(c) - len(name); d > 4*limit || -d > 4*limit || c == name {
			continue
		}
		if d := distance(folded, fold(c), least); d < least {
			best, least = c, d
		}
	}
	if best == "" {
		return onlyOneThatBegins(folded, candidates)
	}
	return best
}

// fewestBegun is the length from which the first words of a name tell which name was meant; shorter ones, such as "co",
// begin too much by chance.
const fewestBegun = 4

// onlyOneThatBegins gives the candidate whose first words are given, "" where there is none or more than one.
func onlyOneThatBegins(words []rune, candidates []string) string {
	if len(words) < fewestBegun {
		return ""
	}
	only := ""
	for _, c := range candidates {
		if !strings.HasPrefix(string(fold(c)), string(words)+"-") {
			continue
		}
		if only != "" && only != c {
			return ""
		}
		only = c
	}
	return only
}

func fold(s string) []rune {
	return []rune(strings.Map(func(r rune) rune {
		if r == '_' || r == ' ' {
			return '-'
		}
		return r
	}, strings.ToLower(s)))
}

// distance counts insertions, deletions, changes and swaps of neighbours (each piece of text changed once:
// "optimal string alignment"). It stops with limit as soon as the answer cannot be less.
func distance(a, b []rune, limit int) int {
	if d := len(a) - len(b); d >= limit || -d >= limit {
		return limit
	}
	before := make([]int, len(b)+1) // row i-2
	row := make([]int, len(b)+1)    // row i-1
	next := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i, x := range a {
		next[0] = i + 1
		least := next[0]
		for j, y := range b {
			change := row[j]
			if x != y {
				change++
			}
			next[j+1] = min(change, row[j+1]+1, next[j]+1)
			if i > 0 && j > 0 && x == b[j-1] && y == a[i-1] {
				next[j+1] = min(next[j+1], before[j-1]+1)
			}
			least = min(least, next[j+1])
		}
		if least >= limit {
			return limit
		}
		before, row, next = row, next, before
	}
	return min(row[len(b)], limit)
}
