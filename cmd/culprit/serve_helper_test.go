package main

import (
	"html"
	"io"
	"net/http"
	"net/http/cookiejar"
	"net/http/httptest"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"culprit/cmd/culprit/internal/benchpage"
	"culprit/engine"
)

// whistle is the job that most tests of the bench page begin with.
const whistle = `{
  "name": "Whistle at idle",
  "vehicle": "brackenby-1800",
  "readings": {
    "idle_speed": 850,
    "engine_warm": true,
    "electrical_load_off": true,
    "purge_disconnected": true,
    "breather_vented": true
  }
}
`

// shop is a bench page with a folder of jobs.
type shop struct {
	*testing.T
	folder string
	url    string
}

// openShop starts a bench page of a folder with one job, "whistle".
func openShop(t *testing.T, change func(*benchpage.Options)) *shop {
	t.Helper()
	s := &shop{T: t, folder: t.TempDir()}
	s.put("whistle", whistle)
	s.url = s.another(change)
	return s
}

// another starts a further bench page of the same folder, as another process would.
func (s *shop) another(change func(*benchpage.Options)) string {
	s.Helper()
	pack, err := engine.Open(engine.Sources{})
	if err != nil {
		s.Fatal(err)
	}
	o := benchpage.Options{Pack: pack, Folder: s.folder, Keeper: benchFiles{}, Paper: &benchPaper{pack: pack}}
	if change != nil {
		change(&o)
	}
	server, err := benchpage.New(o)
	if err != nil {
		s.Fatal(err)
	}
	web := httptest.NewUnstartedServer(nil)
	web.Config = server.HTTP()
	web.Start()
	s.Cleanup(func() { web.Close(); server.Close() })
	return web.URL
}

func (s *shop) put(id, text string) {
	s.Helper()
	if err := os.WriteFile(filepath.Join(s.folder, id+".json"), []byte(text), 0o666); err != nil {
		s.Fatal(err)
	}
}

// kept is the file of a job.
func (s *shop) kept(id string) string {
	s.Helper()
	text, err := os.ReadFile(filepath.Join(s.folder, id+".json"))
	if err != nil {
		s.Fatal(err)
	}
	return string(text)
}

// tab is a browser without script.
type tab struct {
	*testing.T
	http.Client
	at     string // the server
	page   string
	status int
	path   string // where the page is, with its query
}

func (s *shop) tab() *tab {
	jar, _ := cookiejar.New(nil) // never fails
	return &tab{T: s.T, Client: http.Client{Jar: jar}, at: s.url}
}

func (b *tab) took(r *http.Response, err error) *tab {
	b.Helper()
	if err != nil {
		b.Fatal(err)
	}
	defer r.Body.Close()
	text, err := io.ReadAll(r.Body)
	if err != nil {
		b.Fatal(err)
	}
	b.page, b.status, b.path = string(text), r.StatusCode, r.Request.URL.RequestURI()
	return b
}

// open goes to a page.
func (b *tab) open(path string) *tab {
	b.Helper()
	return b.took(b.Get(b.at + path))
}

var hiddenField = regexp.MustCompile(`<input type="hidden" name="([^"]*)" value="([^"]*)">`)

// form is what the form behind a mark on the page sends of itself, and where to.
func (b *tab) form(mark string) (action string, fields url.Values) {
	b.Helper()
	_, part, found := strings.Cut(b.page, mark)
	part, _, ends := strings.Cut(part, "</form>")
	_, tag, is := strings.Cut(part, `<form`)
	if !found || !ends || !is {
		b.Fatalf("no form at %q on the page:\n%s", mark, b.page)
	}
	_, action, _ = strings.Cut(tag, `action="`)
	action, _, _ = strings.Cut(action, `"`)
	fields = url.Values{}
	for _, m := range hiddenField.FindAllStringSubmatch(part, -1) {
		fields.Add(html.UnescapeString(m[1]), html.UnescapeString(m[2]))
	}
	// A field that nobody touches is sent as it stands.
	for name := range fields {
		if id, is := strings.CutPrefix(name, "was."); is && strings.Contains(action, "readings") && !fields.Has("r."+id) {
			fields.Set("r."+id, fields.Get(name))
		}
	}
	return action, fields
}

// send fills in the form behind a mark and sends it.
func (b *tab) send(mark string, with ...string) *tab {
	b.Helper()
	action, fields := b.form(mark)
	for i := 0; i < len(with); i += 2 {
		fields.Set(with[i], with[i+1])
	}
	return b.took(b.PostForm(b.at+action, fields))
}

// enter enters readings of a check on the page of a job.
func (b *tab) enter(check string, with ...string) *tab {
	b.Helper()
	return b.send(`id="c-`+check+`"`, with...)
}

var anyTag = regexp.MustCompile(`<[^>]*>`)
var spaces = regexp.MustCompile(`\s+`)

// text is what is read on the page.
func (b *tab) text() string {
	return spaces.ReplaceAllString(html.UnescapeString(anyTag.ReplaceAllString(b.page, " ")), " ")
}

// shows holds the page to a status and to texts.
func (b *tab) shows(status int, texts ...string) {
	b.Helper()
	if b.status != status {
		b.Errorf("status %d, want %d: %.400s", b.status, status, b.text())
	}
	for _, want := range texts {
		if !strings.Contains(b.text(), want) && !strings.Contains(b.page, want) {
			b.Errorf("the page does not say %q:\n%.30000s", want, b.text())
		}
	}
}

// not holds the page to not saying something.
func (b *tab) not(texts ...string) {
	b.Helper()
	for _, bad := range texts {
		if strings.Contains(b.page, bad) {
			b.Errorf("the page says %q", bad)
		}
	}
}

// alone holds a folder to these files: nothing is left lying about.
func alone(t *testing.T, dir string, want ...string) {
	t.Helper()
	entries, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, e := range entries {
		got = append(got, e.Name())
	}
	if strings.Join(got, " ") != strings.Join(want, " ") {
		t.Errorf("the folder has %q, not %q", got, want)
	}
}
