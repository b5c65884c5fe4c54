package benchpage

import "net/http"

// askKey is the page that asks for the key.
func (s *Server) askKey(w http.ResponseWriter, status int, wrong string) {
	s.write(w, status, "key", page{Title: "Key", Token: s.guard.token(), Data: wrong})
}

// login takes the key.
func (s *Server) login(w http.ResponseWriter, r *http.Request) {
	switch {
	case s.o.Key == "":
		http.Redirect(w, r, "/", http.StatusSeeOther)
	case r.Method == http.MethodPost:
		s.tryKey(w, r, r.PostForm.Get("key"), "/")
	default:
		s.askKey(w, http.StatusOK, "")
	}
}

// tryKey gives a cookie for the right key, and takes the key out of the address.
func (s *Server) tryKey(w http.ResponseWriter, r *http.Request, key, then string) {
	if !same(key, s.o.Key) {
		s.askKey(w, http.StatusUnauthorized, "That is not the key. It was printed when the bench page was started, and each start has another.")
		return
	}
	http.SetCookie(w, &http.Cookie{Name: cookie, Value: s.guard.sign("key"), Path: "/", HttpOnly: true, SameSite: http.SameSiteStrictMode})
	if !ours(then) {
		then = "/"
	}
	http.Redirect(w, r, then, http.StatusSeeOther)
}

// ours tells whether a path leads to this server and not to another.
func ours(path string) bool {
	return len(path) > 0 && path[0] == '/' && (len(path) == 1 || path[1] != '/' && path[1] != '\\')
}
