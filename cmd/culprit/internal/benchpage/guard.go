package benchpage

import (
	"context"
	"crypto/hmac"
	"crypto/rand"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"net"
	"net/http"
	"slices"
	"strings"
)

// guard decides which requests are answered at all.
type guard struct {
	secret []byte // of this run
	key    string
	hosts  []string
	full   chan struct{} // requests being answered
}

// mostAtOnce is how many requests are answered at once; more wait.
const mostAtOnce = 64

// cookie is the name of the cookie that stands for the key.
const cookie = "bench"

// policy is the content security policy of every page but the sheet: nothing from
// elsewhere, nothing inline.
const policy = "default-src 'none'; style-src 'self'; script-src 'self'; img-src 'self'; connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"

func newGuard(key string, hosts []string) *guard {
	return &guard{secret: []byte(random(32)), key: key, hosts: hosts, full: make(chan struct{}, mostAtOnce)}
}

// random is n random bytes as hexadecimal digits.
func random(n int) string {
	b := make([]byte, n)
	rand.Read(b) // never fails
	return hex.EncodeToString(b)
}

// NewKey makes a key of about 99 bits in letters and digits that are not mistaken for
// each other.
func NewKey() string {
	const letters = "abcdefghjkmnpqrstuvwxyz23456789-"
	b := make([]byte, 20)
	rand.Read(b)
	for i := range b {
		b[i] = letters[b[i]%31]
	}
	return string(b)
}

// sign makes a value that only this run can make.
func (g *guard) sign(purpose string) string {
	m := hmac.New(sha256.New, g.secret)
	m.Write([]byte(purpose))
	return hex.EncodeToString(m.Sum(nil))
}

// token is what every form that changes something carries: a page of elsewhere can
// send a form here but cannot read this.
func (g *guard) token() string { return g.sign("form") }

// same compares in a time that does not depend on where texts differ.
func same(a, b string) bool {
	x, y := sha256.Sum256([]byte(a)), sha256.Sum256([]byte(b))
	return hmac.Equal(x[:], y[:])
}

// protect sets the headers that every answer has, and refuses what is too much or
// comes from elsewhere.
func (g *guard) protect(s *Server, next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := w.Header()
		h.Set("Content-Security-Policy", policy)
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("X-Frame-Options", "DENY")
		// Not "no-referrer", with which browsers do not say where a form comes from.
		h.Set("Referrer-Policy", "same-origin")
		h.Set("Cross-Origin-Resource-Policy", "same-origin")
		h.Set("Permissions-Policy", "camera=(), microphone=(), geolocation=()")
		h.Set("Cache-Control", "no-store")
		ctx, cancel := context.WithTimeout(r.Context(), mostWait)
		defer cancel()
		select {
		case g.full <- struct{}{}:
			defer func() { <-g.full }()
		case <-ctx.Done():
			return
		}
		r = r.WithContext(ctx)
		if !g.calledRight(r) {
			s.fail(w, r, http.StatusMisdirectedRequest, "This page is not known by that name",
				fmt.Sprintf("The browser asked for %q. Use the address that the bench page printed when it was started.", short(r.Host)))
			return
		}
		switch r.Method {
		case http.MethodGet, http.MethodHead:
		case http.MethodPost:
			if !g.fromHere(w, r, s) {
				return
			}
		default:
			h.Set("Allow", "GET, HEAD, POST")
			s.fail(w, r, http.StatusMethodNotAllowed, "This is not how the bench page is spoken to", "Only GET and POST are answered.")
			return
		}
		next.ServeHTTP(w, r)
	})
}

// calledRight holds the Host of a request against the names of this machine, so
// that no name of elsewhere can be turned to point here: the address at which the
// request arrived, localhost where that is this machine's own, and the names given.
func (g *guard) calledRight(r *http.Request) bool {
	local, ok := r.Context().Value(http.LocalAddrContextKey).(net.Addr)
	if !ok {
		return false
	}
	at, port, err := net.SplitHostPort(local.String())
	if err != nil {
		return false
	}
	host, asked, err := net.SplitHostPort(r.Host)
	if err != nil {
		host, asked = strings.Trim(r.Host, "[]"), "80"
	}
	if asked != port {
		return false
	}
	ip := net.ParseIP(at)
	if named := net.ParseIP(host); named != nil {
		return named.Equal(ip)
	}
	host = strings.ToLower(strings.TrimSuffix(host, "."))
	return host == "localhost" && ip.IsLoopback() || slices.Contains(g.hosts, host)
}

// fromHere reads the form of a POST, and refuses one that no page of ours has sent.
func (g *guard) fromHere(w http.ResponseWriter, r *http.Request, s *Server) bool {
	const head = "This form was not taken"
	origin, site := r.Header.Get("Origin"), r.Header.Get("Sec-Fetch-Site")
	if origin != "" && origin != "http://"+r.Host || site != "" && site != "same-origin" {
		s.fail(w, r, http.StatusForbidden, head, "It was sent by a page of elsewhere. Nothing was changed.")
		return false
	}
	if kind, _, _ := strings.Cut(r.Header.Get("Content-Type"), ";"); kind != "application/x-www-form-urlencoded" {
		s.fail(w, r, http.StatusUnsupportedMediaType, head, "It is not written as forms are. Nothing was changed.")
		return false
	}
	r.Body = http.MaxBytesReader(w, r.Body, mostBody)
	if err := r.ParseForm(); err != nil {
		var big *http.MaxBytesError
		if errors.As(err, &big) {
			s.fail(w, r, http.StatusRequestEntityTooLarge, head, fmt.Sprintf("It holds more than %d characters. Nothing was changed.", mostBody))
		} else {
			s.fail(w, r, http.StatusBadRequest, head, "It cannot be read. Nothing was changed.")
		}
		return false
	}
	if r.URL.Path != "/key" && !same(r.PostForm.Get("token"), g.token()) {
		s.stale(w, r)
		return false
	}
	return true
}

// behindKey lets through who has shown the key.
func (g *guard) behindKey(s *Server, next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		switch {
		case g.key == "" || g.shown(r):
			next.ServeHTTP(w, r)
		case r.Method == http.MethodGet && r.URL.Query().Has("key"):
			s.tryKey(w, r, r.URL.Query().Get("key"), r.URL.Path)
		default:
			s.askKey(w, http.StatusUnauthorized, "")
		}
	})
}

func (g *guard) shown(r *http.Request) bool {
	c, err := r.Cookie(cookie)
	return err == nil && same(c.Value, g.sign("key"))
}
