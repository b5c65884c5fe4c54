package drawing

import (
	"strings"
	"unicode"
)

// widths are the advance widths of the printable ASCII characters of Helvetica in
// thousandths of the type size (Adobe Font Metrics of the PostScript core fonts;
// from memory). Fonts of its width are asked for by the stylesheet.
var widths = [...]int{
	278, 278, 355, 556, 556, 889, 667, 191, 333, 333, 389, 584, 278, 333, 278, 278,
	556, 556, 556, 556, 556, 556, 556, 556, 556, 556, 278, 278, 584, 584, 584, 556,
	1015, 667, 667, 722, 722, 667, 611, 778, 722, 278, 500, 667, 556, 833, 722, 778,
	667, 778, 722, 667, 611, 722, 667, 944, 667, 667, 611, 278, 278, 278, 469, 556,
	333, 556, 556, 500, 556, 556, 278, 556, 556, 222, 222, 500, 222, 833, 556, 556,
	556, 556, 333, 500, 278, 556, 500, 722, 500, 500, 500, 334, 260, 334, 584,
}

// spare is what is added to a width, since the font at hand may be a wider one, or
// bold. A judgement.
const spare = 1.14

// textWidth is how wide a text comes out at most, in units of the drawing.
func textWidth(text string, size float64) float64 {
	sum := 0
	for _, r := range text {
		switch {
		case r >= ' ' && r <= '~':
			sum += widths[r-' ']
		case unicode.Is(unicode.Mn, r):
		case r < 0x1100:
			sum += 667
		default:
			sum += 1000 // wide characters of East Asia and pictures
		}
	}
	return float64(sum) / 1000 * size * spare
}

// wrap breaks a text into lines no wider than width; what does not fit in one line
// by itself is broken within. After most lines the rest is left out, with an
// ellipsis in its place. There is at least one line.
func wrap(text string, size, width float64, most int) []string {
	var lines []string
	line := ""
	for _, word := range strings.Fields(Clean(text)) {
		longer := word
		if line != "" {
			longer = line + " " + word
		}
		if textWidth(longer, size) <= width {
			line = longer
			continue
		}
		if line != "" {
			lines = append(lines, line)
		}
		for textWidth(word, size) > width {
			head := fitting(word, size, width)
			lines = append(lines, head)
			word = word[len(head):]
			if len(lines) > most {
				break
			}
		}
		line = word
		if len(lines) > most {
			break
		}
	}
	lines = append(lines, line)
	if len(lines) <= most {
		return lines
	}
	lines = lines[:most]
	last := lines[most-1]
	for last != "" && textWidth(last+"…", size) > width {
		last = last[:len(last)-len(lastRune(last))]
	}
	lines[most-1] = strings.TrimRight(last, " ") + "…"
	return lines
}

// fitting is the longest beginning of a word that fits, at least a character.
func fitting(word string, size, width float64) string {
	end := 0
	for i, r := range word {
		next := i + len(string(r))
		if i > 0 && textWidth(word[:next], size) > width {
			break
		}
		end = next
	}
	return word[:end]
}

func lastRune(text string) string {
	r := []rune(text)
	return string(r[len(r)-1:])
}
