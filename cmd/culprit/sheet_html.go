package main

import (
	"bytes"
	_ "embed"
	"html/template"
	"io"
	"sync"

	"culprit/cmd/culprit/internal/drawing"
)

//go:embed sheet_page.html
var sheetPage string

//go:embed sheet_page.css
var sheetStyle string

// sheetTemplate is parsed when a sheet is first written.
var sheetTemplate = sync.OnceValue(func() *template.Template { return template.Must(drawing.Templates().Parse(sheetPage)) })

// mostTitle is how many characters of a job's name a browser shows on its tab.
const mostTitle = 55

// sheetDocument writes sheets as one HTML document that needs nothing beside it.
// What comes from files is escaped by the templates; what would turn the direction
// of the text is shown instead.
func sheetDocument(w io.Writer, sheets []*sheet) error {
	title := "Job sheets"
	if len(sheets) == 1 {
		title = "Job sheet: " + cut(sheets[0].Title, mostTitle)
	}
	var b bytes.Buffer
	err := sheetTemplate().ExecuteTemplate(&b, "sheets", struct {
		Title  string
		Style  template.CSS
		Sheets []*sheet
	}{title, drawing.Style() + template.CSS(sheetStyle), sheets})
	if err != nil {
		return err
	}
	_, err = io.WriteString(w, drawing.Clean(b.String()))
	return err
}
