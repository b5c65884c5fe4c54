package quantity

import "strings"

// nearest is the unit with the spelling that is the fewest changes away from s: two for more than three letters,
// one for three, and for fewer only a letter left out; None when no unit is so near. s is in lower case and
// without spaces.
func nearest(s string) Unit {
	letters, limit := len([]rune(s)), 1
	if letters > 3 {
		limit = 2
	}
	best, least := None, limit+1
	for u := None + 1; u < unitCount; u++ {
		for _, known := range append([]string{u.String()}, u.facts().aliases...) {
			known = strings.ToLower(strings.ReplaceAll(known, " ", ""))
			if letters < 3 && len([]rune(known)) <= letters && known != s { // all of two letters look alike
				continue
			}
			if len([]rune(known)) < 2 && known != s { // one letter is near to anything
				continue
			}
			if d := distance([]rune(s), []rune(known)); d < least {
				best, least = u, d
			}
		}
	}
	return best
}

// distance counts the insertions, deletions, changes and swaps of neighbours that lead from a to b.
func distance(a, b []rune) int {
	rows := make([][]int, len(a)+1)
	for i := range rows {
		rows[i] = make([]int, len(b)+1)
		rows[i][0] = i
	}
	for j := range rows[0] {
		rows[0][j] = j
	}
	for i := 1; i <= len(a); i++ {
		for j := 1; j <= len(b); j++ {
			d := rows[i-1][j-1]
			if a[i-1] != b[j-1] {
				d++
			}
			d = min(d, rows[i-1][j]+1, rows[i][j-1]+1)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				d = min(d, rows[i-2][j-2]+1)
			}
			rows[i][j] = d
		}
	}
	return rows[len(a)][len(b)]
}
