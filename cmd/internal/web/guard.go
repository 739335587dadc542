package web

import (
	"crypto/rand"
	"crypto/subtle"
	"encoding/base64"
	"errors"
	"io"
	"net/http"
	"os"
	"strconv"
	"time"
)

// Bounds of a request. The body of an import is bounded by mostImported.
const (
	mostBody     = 1 << 20
	mostImported = 200 << 20
	mostHeader   = 16 << 10
)

// mostPause is how long a request may send nothing of its body.
const mostPause = 30 * time.Second

// stalledError is a body that stopped before its end.
type stalledError struct{}

func (*stalledError) Error() string {
	return "the request stopped before its end; nothing was taken"
}

// paced ends a body that stops, so that neither its connection nor what was begun for it
// is kept for ever. A long body that goes on may take its time.
type paced struct {
	io.ReadCloser
	pause   time.Duration
	control *http.ResponseController
}

func (p *paced) Read(b []byte) (int, error) {
	p.control.SetReadDeadline(time.Now().Add(p.pause))
	n, err := p.ReadCloser.Read(b)
	switch {
	case errors.Is(err, os.ErrDeadlineExceeded):
		return n, &stalledError{} // and what else is read of it fails at once
	case errors.Is(err, io.EOF):
		p.control.SetReadDeadline(time.Time{}) // the work that follows has no such end
	}
	return n, err
}

// policy is what a page of ours may load: what this server sends, and nothing else.
const policy = "default-src 'self'; base-uri 'none'; object-src 'none'; frame-ancestors 'none'; form-action 'self'"

// newToken gives a name that nobody guesses.
func newToken() string {
	var b [24]byte
	rand.Read(b[:]) // never fails
	return base64.RawURLEncoding.EncodeToString(b[:])
}

// guard stands before every handler: it refuses who did not come from the printed
// address, and says to the browser what a page may do.
type guard struct {
	token string
	port  int
	// pause is how long a request may send nothing of its body.
	pause time.Duration
	next  http.Handler
}

// cookie names the cookie: those of a host are shared by its ports, so that two
// servers need two names.
func (g *guard) cookie() string { return "emberquilt-" + strconv.Itoa(g.port) }

// isOwnHost reports whether a Host header names this server: a page of another name
// that resolves to this machine (DNS rebinding) does not.
func (g *guard) isOwnHost(host string) bool {
	port := ":" + strconv.Itoa(g.port)
	return host == "127.0.0.1"+port || host == "[::1]"+port || host == "localhost"+port
}

func (g *guard) isToken(text string) bool {
	return subtle.ConstantTimeCompare([]byte(text), []byte(g.token)) == 1
}

func (g *guard) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	h := w.Header()
	h.Set("Content-Security-Policy", policy)
	h.Set("X-Content-Type-Options", "nosniff")
	h.Set("Referrer-Policy", "no-referrer")
	h.Set("Cross-Origin-Resource-Policy", "same-origin")
	h.Set("Cache-Control", "no-store")
	if !g.isOwnHost(r.Host) {
		http.Error(w, "this server answers on the address that it printed, and on no other name", http.StatusForbidden)
		return
	}
	if token := r.URL.Query().Get("token"); token != "" && r.URL.Path == "/" && r.Method == http.MethodGet {
		if !g.isToken(token) {
			http.Error(w, "this address is not the one that the terminal shows; it changes with every start", http.StatusForbidden)
			return
		}
		http.SetCookie(w, &http.Cookie{Name: g.cookie(), Value: g.token, Path: "/", HttpOnly: true, SameSite: http.SameSiteStrictMode})
		http.Redirect(w, r, "/", http.StatusSeeOther) // the token leaves the address bar
		return
	}
	if cookie, err := r.Cookie(g.cookie()); err != nil || !g.isToken(cookie.Value) {
		http.Error(w, "open the whole address that the terminal shows: it holds a token, which this request lacks", http.StatusForbidden)
		return
	}
	most := int64(mostBody)
	if r.Method == http.MethodPost && isImport(r.URL.Path) {
		most = mostImported
	}
	r.Body = http.MaxBytesReader(w, &paced{r.Body, g.pause, http.NewResponseController(w)}, most)
	g.next.ServeHTTP(w, r)
}
