package main

import (
	"io"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"culprit/cmd/culprit/internal/benchpage"
)

// TestBenchHostile: what is not a form of this page from this page is refused, with
// words, and neither the job nor anything beside the folder is touched or told.
func TestBenchHostile(t *testing.T) {
	s := openShop(t, nil)
	s.put("../secret", "SECRET")
	if err := os.Symlink(filepath.Join(s.folder, "../secret.json"), filepath.Join(s.folder, "linked.json")); err != nil {
		t.Fatal(err)
	}
	s.put(".hidden", whistle)
	b := s.tab().open("/job/whistle")
	action, good := b.form(`id="c-gases-at-idle"`)
	good.Set("r.co", "1.9")
	body := good.Encode()
	with := func(key, value string) string {
		v, _ := url.ParseQuery(body)
		v.Set(key, value)
		return v.Encode()
	}
	const formType = "application/x-www-form-urlencoded"
	for _, c := range []struct {
		why, method, path, body string
		change                  func(*http.Request)
		status                  int
		says                    string
	}{
		{"a name of elsewhere that points here", "GET", "/", "", func(r *http.Request) { r.Host = "evil.example" }, 421, "not known by that name"},
		{"the same with our port", "GET", "/job/whistle", "", func(r *http.Request) { r.Host = "evil.example:" + r.URL.Port() }, 421, "not known by that name"},
		{"our address with another port", "GET", "/", "", func(r *http.Request) { r.Host = "127.0.0.1:1" }, 421, "not known by that name"},
		{"a name that begins as ours", "POST", action, body, func(r *http.Request) { r.Host = "localhost.evil.example:" + r.URL.Port() }, 421, "not known by that name"},
		{"no name", "GET", "/", "", func(r *http.Request) { r.Host = "<script>" }, 421, "not known by that name"}, // the client sends nothing for it
		{"a form of another origin", "POST", action, body, func(r *http.Request) { r.Header.Set("Origin", "http://evil.example") }, 403, "page of elsewhere"},
		{"a form of a local file or a sandbox", "POST", action, body, func(r *http.Request) { r.Header.Set("Origin", "null") }, 403, "page of elsewhere"},
		{"another port of this machine", "POST", action, body, func(r *http.Request) { r.Header.Set("Origin", "http://127.0.0.1:1") }, 403, "page of elsewhere"},
		{"our origin by another scheme", "POST", action, body, func(r *http.Request) { r.Header.Set("Origin", "https://"+r.Host) }, 403, "page of elsewhere"},
		{"what the browser calls cross-site", "POST", action, body, func(r *http.Request) { r.Header.Set("Sec-Fetch-Site", "cross-site") }, 403, "page of elsewhere"},
		{"what the browser calls same-site", "POST", action, body, func(r *http.Request) { r.Header.Set("Sec-Fetch-Site", "same-site") }, 403, "page of elsewhere"},
		{"no token", "POST", action, with("token", ""), nil, 403, "not one of this run"},
		{"a wrong token", "POST", action, with("token", strings.Repeat("0", 64)), nil, 403, "CO at idle, before any catalyst: 1.9"},
		{"no form", "POST", action, "", nil, 403, "not one of this run"},
		{"a token in the address only", "POST", action + "?token=" + good.Get("token"), with("token", "x"), nil, 403, "not one of this run"},
		{"JSON", "POST", action, `{"r.co": 1}`, func(r *http.Request) { r.Header.Set("Content-Type", "application/json") }, 415, "not written as forms are"},
		{"plain text, as a form of elsewhere may be", "POST", action, body, func(r *http.Request) { r.Header.Set("Content-Type", "text/plain") }, 415, "not written as forms are"},
		{"a file", "POST", action, "--x\r\n", func(r *http.Request) { r.Header.Set("Content-Type", "multipart/form-data; boundary=x") }, 415, "not written as forms are"},
		{"1 MB", "POST", action, with("r.co", strings.Repeat("9", 1<<20)), nil, 413, "more than 65536 characters"},
		{"a broken form", "POST", action, "r.co=%zz&" + body, nil, 400, "cannot be read"},
		{"PUT", "PUT", action, body, nil, 405, "Only GET and POST"},
		{"DELETE", "DELETE", "/job/whistle", "", nil, 405, "Only GET and POST"},
		{"a change by GET", "GET", action + "?" + body, "", nil, 404, "no such page"},
		{"the folder above", "GET", "/job/..%2Fsecret", "", nil, 404, "There is no such job"},
		{"the folder above, with a backslash", "GET", "/job/..%5Csecret", "", nil, 404, "There is no such job"},
		{"the folder above, escaped twice", "GET", "/job/..%252Fsecret", "", nil, 404, "There is no such job"},
		{"a whole path", "GET", "/job/%2Fetc%2Fpasswd", "", nil, 404, "There is no such job"},
		{"a link out of the folder", "GET", "/job/linked", "", nil, 404, "There is no such job"},
		{"a hidden file", "GET", "/job/.hidden", "", nil, 404, "There is no such job"},
		{"a name with an end", "GET", "/job/whistle%00", "", nil, 404, "There is no such job"},
		{"a name with its ending", "GET", "/job/whistle.json", "", nil, 404, "There is no such job"},
		{"a change above the folder", "POST", "/job/..%2Fsecret/readings", body, nil, 404, "There is no such job"},
		{"a sheet above the folder", "GET", "/job/..%2Fsecret/sheet", "", nil, 404, "There is no such job"},
		{"a comparison above the folder", "GET", "/compare?a=../secret&b=whistle", "", nil, 404, "There is no such job"},
		{"a script for a job", "GET", "/job/%3Cscript%3Ealert(1)%3C%2Fscript%3E", "", nil, 404, "There is no such job"},
		{"a script for a fault", "GET", "/job/whistle?open=%3Cscript%3Ealert(1)%3C/script%3E&at=%22%3E&said=%3Cscript%3E", "", nil, 200, "Whistle at idle"},
		{"a car that is none", "POST", "/job/whistle/car", with("vehicle", "<script>alert(1)</script>"), nil, 422, "There is no vehicle"},
		{"a name of 10000 letters", "POST", "/job/whistle/car", with("name", strings.Repeat("x", 10000)), nil, 422, "at most 200 letters"},
		{"a note of 10000 letters", "POST", "/job/whistle/car", with("note", strings.Repeat("x", 10000)), nil, 422, "at most 5000 letters"},
		{"a fault that is none", "POST", "/job/whistle/repair", with("fault[]", "<script>alert(1)</script>"), nil, 422, "There is no fault"},
		{"a reading that is none", "POST", action, with("r.no_such", "1") + "&r.co=&was.co=", nil, 200, "Whistle at idle"},
	} {
		t.Run(c.why, func(t *testing.T) {
			payload := c.body
			if c.why == "a reading that is none" {
				v, _ := url.ParseQuery(body)
				v.Set("r.co", "")
				v.Set("r.no_such", "1")
				payload = v.Encode()
			}
			r, err := http.NewRequest(c.method, s.url+c.path, strings.NewReader(payload))
			if err != nil {
				t.Fatal(err)
			}
			r.Header.Set("Content-Type", formType)
			if c.change != nil {
				r.Host = r.URL.Host
				c.change(r)
			}
			got, err := http.DefaultClient.Do(r)
			if err != nil {
				t.Fatal(err)
			}
			defer got.Body.Close()
			text, _ := io.ReadAll(got.Body)
			if got.StatusCode != c.status || !strings.Contains(string(text), c.says) {
				t.Errorf("status %d, want %d with %q:\n%.1500s", got.StatusCode, c.status, c.says, text)
			}
			if strings.Contains(string(text), "SECRET") || strings.Contains(string(text), "<script>alert") {
				t.Errorf("the answer has what it must not have:\n%s", text)
			}
			if s.kept("whistle") != whistle {
				t.Errorf("the job was changed:\n%s", s.kept("whistle"))
			}
		})
	}
	if secret, err := os.ReadFile(filepath.Join(s.folder, "../secret.json")); err != nil || string(secret) != "SECRET" {
		t.Errorf("a file above the folder: %q, %v", secret, err)
	}
	// The same form from the right page is taken, so that what was refused was not
	// refused for another reason.
	r, _ := http.NewRequest("POST", s.url+action, strings.NewReader(body))
	r.Header.Set("Content-Type", formType)
	r.Header.Set("Origin", s.url)
	r.Header.Set("Sec-Fetch-Site", "same-origin")
	if got, err := http.DefaultClient.Do(r); err != nil || got.StatusCode != 200 || !strings.Contains(s.kept("whistle"), `"co": 1.9`) {
		t.Errorf("the form itself is not taken: %v", err)
	}
}

// TestBenchHeaders: every answer, the refusals too, forbids what the page never needs.
func TestBenchHeaders(t *testing.T) {
	s := openShop(t, nil)
	for _, path := range []string{"/", "/job/whistle", "/job/none", "/job/whistle/sheet", "/bench.css", "/bench.js", "/nowhere"} {
		r, err := http.Get(s.url + path)
		if err != nil {
			t.Fatal(err)
		}
		text, _ := io.ReadAll(r.Body)
		r.Body.Close()
		csp := r.Header.Get("Content-Security-Policy")
		if !strings.HasPrefix(csp, "default-src 'none'; ") || strings.Contains(csp, "unsafe") || !strings.Contains(csp, "frame-ancestors 'none'") || !strings.Contains(csp, "base-uri 'none'") {
			t.Errorf("%s: policy %q", path, csp)
		}
		if r.Header.Get("X-Content-Type-Options") != "nosniff" || r.Header.Get("Referrer-Policy") != "same-origin" {
			t.Errorf("%s: %v", path, r.Header)
		}
		if strings.Contains(path, "job") && !strings.HasSuffix(path, "sheet") {
			for _, bad := range []string{"<style", " style=", " onclick=", " onchange=", "javascript:", "http://", "https://"} {
				if strings.Contains(string(text), bad) {
					t.Errorf("%s has %s", path, bad)
				}
			}
		}
	}
}

// TestBenchKey: with a key nothing is told and nothing changed before it was shown,
// and only then; it leaves the address at once.
func TestBenchKey(t *testing.T) {
	const key = "abcdefghjkmnpqrstuvw"
	s := openShop(t, func(o *benchpage.Options) { o.Key = key })
	for _, path := range []string{"/", "/job/whistle", "/job/whistle/sheet", "/compare", "/?key=wrong", "/job/whistle?key="} {
		b := s.tab().open(path)
		b.shows(401, "The key of this bench page")
		b.not("Whistle", "Brackenby")
	}
	if r, err := http.PostForm(s.url+"/jobs", url.Values{"name": {"x"}}); err != nil || r.StatusCode != 403 {
		t.Errorf("a job was made without the key: %v", err)
	}
	alone(t, s.folder, "whistle.json")

	b := s.tab().open("/job/whistle?key=" + key)
	b.shows(200, "Whistle at idle")
	if b.path != "/job/whistle" {
		t.Errorf("the key is still in the address: %s", b.path)
	}
	b.enter("gases-at-idle", "r.co", "1.9").shows(200, "Kept.")

	other := s.tab().open("/key")
	other.send("main", "key", "no").shows(401, "That is not the key")
	other.send("main", "key", key).shows(200, "Jobs in this folder")
	quiet := http.Client{CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}
	r, err := quiet.Get(s.url + "/?key=" + key)
	if err != nil {
		t.Fatal(err)
	}
	if c := r.Header.Get("Set-Cookie"); !strings.Contains(c, "HttpOnly") || !strings.Contains(c, "SameSite=Strict") || strings.Contains(c, key) {
		t.Errorf("cookie %q", c)
	}
	// A key does not lead to another server.
	if r, err := quiet.Get(s.url + "//evil.example/?key=" + key); err != nil || strings.Contains(r.Header.Get("Location"), "//") {
		t.Errorf("leads to %q, %v", r.Header.Get("Location"), err)
	}
	if a, b := benchpage.NewKey(), benchpage.NewKey(); a == b || len(a) != 20 {
		t.Errorf("keys %q and %q", a, b)
	}
}
