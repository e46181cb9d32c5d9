// Package guard lets the requests of the page itself through and no others: under its own
// address, from its own windows, with the cookie that a key of one use was changed for.
//
// Place in the pipeline: before the handlers of cmd/page; it knows none of them.
package guard

import (
	"crypto/rand"
	"crypto/subtle"
	"encoding/base64"
	"net/http"
	"strings"
	"sync"
	"time"
)

// Secret is 256 bits that nobody can guess, as text for an address or a cookie.
func Secret() string {
	b := make([]byte, 32)
	rand.Read(b) // never fails: crypto/rand ends the program instead
	return base64.RawURLEncoding.EncodeToString(b)
}

// Guard admits the requests of the page itself and no others.
type Guard struct {
	port string
	// root is the path under which everything is, and cookie what the key of the address
	// is changed for. Browsers do not keep the cookies of two ports of an address apart
	// (RFC 6265, 8.5), but they send one along its path alone (5.4): who does not know
	// the path, such as a server of another user on another port, cannot be sent it.
	root, cookie string
	next         http.Handler
	// renewed is told the address of the next window: a key serves once, since the
	// address of a program that was started can be seen by who uses the machine too.
	renewed func(address string)

	leads func(path string) bool // of a path that a window may open with

	mu  sync.Mutex
	key string
}

// New guards what answers under a path of a port: leads says with which of its paths a
// window may open, and renewed is told the address of the next one.
func New(port, root string, next http.Handler, leads func(path string) bool, renewed func(address string)) *Guard {
	return &Guard{port: port, root: root, next: next, leads: leads, renewed: renewed, key: Secret(), cookie: Secret()}
}

// Address that lets one window in.
func (g *Guard) Address() string {
	g.mu.Lock()
	defer g.mu.Unlock()
	return "http://127.0.0.1:" + g.port + "/?key=" + g.key
}

// spend reports whether a key is the right one, which it is once.
func (g *Guard) spend(key string) bool {
	g.mu.Lock()
	ok := equal(key, g.key)
	if ok {
		g.key = Secret()
	}
	g.mu.Unlock()
	if ok && g.renewed != nil {
		g.renewed(g.Address())
	}
	return ok
}

// cookieName has the port in it, so that two openings do not take each other's place.
func (g *Guard) cookieName() string { return "shortfall-" + g.port }

func (g *Guard) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	protect(w.Header())
	switch {
	case r.Host != "127.0.0.1:"+g.port && r.Host != "localhost:"+g.port:
		refuse(w, "this page answers under its own address only")
	case !sameSite(r):
		refuse(w, "this request came from another page")
	case r.Method == http.MethodGet && r.URL.Path == "/" && r.URL.Query().Has("key"):
		g.enter(w, r)
	case !strings.HasPrefix(r.URL.Path, g.root+"/") || !g.entered(r):
		refuse(w, "this page opens from the program: start shortfall again, or use the address it printed")
	case strings.Contains(r.URL.Path, "\x00"), len(r.URL.RawQuery) > MostQuery:
		http.Error(w, "this address is not one of the page's", http.StatusBadRequest)
	default:
		http.StripPrefix(g.root, g.next).ServeHTTP(w, r)
	}
}

// MostQuery bytes of an address; the page's own stay far below.
const MostQuery = 4096

// protect sets what every answer carries. Nothing is loaded but from here, no
// script stands in a page, and nothing is kept in the browser's cache.
func protect(h http.Header) {
	h.Set("Content-Security-Policy", "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'")
	h.Set("X-Content-Type-Options", "nosniff")
	h.Set("X-Frame-Options", "DENY")
	h.Set("Referrer-Policy", "same-origin") // "no-referrer" would take the Origin from our own forms (Fetch standard, 3.2)
	h.Set("Cross-Origin-Opener-Policy", "same-origin")
	h.Set("Cross-Origin-Resource-Policy", "same-origin")
	h.Set("Cache-Control", "no-store")
}

// sameSite reports a request that no other page made: what changes something must
// name our origin, and what a browser says of the maker must agree.
func sameSite(r *http.Request) bool {
	if site := r.Header.Get("Sec-Fetch-Site"); site != "" && site != "same-origin" && site != "none" {
		return false
	}
	origin := r.Header.Get("Origin")
	switch r.Method {
	case http.MethodGet, http.MethodHead:
		return origin == "" || origin == "http://"+r.Host
	default:
		return origin == "http://"+r.Host
	}
}

// enter changes the key of the address for a cookie that other sites' requests do
// not carry, and that no script can read.
func (g *Guard) enter(w http.ResponseWriter, r *http.Request) {
	if !g.spend(r.URL.Query().Get("key")) {
		refuse(w, "this address was used before, or is of an earlier opening: go on in the window that it opened, or start shortfall again")
		return
	}
	http.SetCookie(w, &http.Cookie{Name: g.cookieName(), Value: g.cookie, Path: g.root + "/", HttpOnly: true, SameSite: http.SameSiteStrictMode})
	to := "/"
	if at := r.URL.Query().Get("at"); g.leads(at) {
		to = at
	}
	http.Redirect(w, r, g.root+to, http.StatusSeeOther)
}

func (g *Guard) entered(r *http.Request) bool {
	c, err := r.Cookie(g.cookieName())
	return err == nil && equal(c.Value, g.cookie)
}

func equal(a, b string) bool { return subtle.ConstantTimeCompare([]byte(a), []byte(b)) == 1 }

// refuse answers a stranger, and keeps no place for one.
func refuse(w http.ResponseWriter, why string) {
	w.Header().Set("Connection", "close")
	_ = http.NewResponseController(w).SetReadDeadline(time.Now()) // nor waits for a body that one owes
	http.Error(w, "shortfall: "+why, http.StatusForbidden)
}
