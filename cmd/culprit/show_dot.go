package main

import "strings"

// quote writes a string of DOT in which nothing is an escape.
func quote(text string) string {
	return `"` + quotes.Replace(clean(text)) + `"`
}

var quotes = strings.NewReplacer(`\`, `\\`, `"`, `\"`, "\n", " ", "\t", " ")

// label writes lines of a label, each ended by an escape that breaks the line:
// \l sets it to the left, \n in the middle.
func label(breaks string, lines ...string) string {
	text := ""
	for _, line := range lines {
		text += quotes.Replace(clean(line)) + breaks
	}
	return `"` + text + `"`
}

// escape writes text of an HTML-like label.
func escape(text string) string {
	return htmlEscapes.Replace(clean(text))
}

var htmlEscapes = strings.NewReplacer("&", "&amp;", "<", "&lt;", ">", "&gt;", `"`, "&quot;", "\n", " ")

func bolded(text string) string { return "<B>" + escape(text) + "</B>" }

// lines breaks a text under a name, at about a width.
func lines(text string, width int) string {
	out := ""
	for _, line := range wrap(text, width) {
		out += `<BR ALIGN="LEFT"/><FONT POINT-SIZE="9">` + escape(line) + `</FONT>`
	}
	return out + `<BR ALIGN="LEFT"/>`
}
