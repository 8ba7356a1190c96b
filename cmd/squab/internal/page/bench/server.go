// Package bench serves the live page at the bench, to this machine alone: a maker changes what an order asks, sees the ticket at once, and keeps the
// change in the order's file when asked to.
package bench

import (
	"crypto/rand"
	"crypto/subtle"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"sync"
	"time"

	"squab/cmd/squab/internal/load"
	"squab/cmd/squab/internal/page"
	"squab/lang/diag"
)

// Options says what a bench serves. Paths are files or folders of a house, and Library adds what lies beneath it; Today gives the day of orders without a
// date, in days since 1970-01-01, which is that day itself where there is no Today.
type Options struct {
	Paths   []string
	Library func(*diag.Files) []*diag.Source
	MaxFile int64
	Effort  int64 // placements tried for the better layout; 0 is 400,000
	Today   func() int64
}

const usualEffort = 400_000

func (o Options) effort() int64 {
	if o.Effort <= 0 {
		return usualEffort
	}
	return o.Effort
}

func (o Options) today() int64 {
	if o.Today == nil {
		return 0
	}
	return o.Today()
}

func (o Options) load() load.Options { return load.Options{MaxFile: o.MaxFile, Library: o.Library} }

// Server is a bench. Key is what a page must show to be answered.
type Server struct {
	Key string

	options Options
	pause   time.Duration // between two looks at the files
	writing sync.Mutex    // held while an order's file is read, changed and written
	reading sync.Mutex    // held while the files are read, so that what is read last is what holds

	mu      sync.Mutex
	view    view
	seen    look                   // of the files, from just before they were read last
	waiting map[chan struct{}]bool // pages to be told of changes
}

// New reads the house. The error tells that its files cannot be read; what is wrong inside them is shown on the page.
func New(o Options) (*Server, error) {
	s := &Server{Key: newKey(), options: o, pause: usualPause, waiting: map[chan struct{}]bool{}}
	s.seen = lookAt(o.Paths, time.Now())
	s.view.state = o.readState()
	return s, s.view.err
}

// newKey makes a key of 128 bits; reading them never fails.
func newKey() string {
	var b [16]byte
	rand.Read(b[:])
	return hex.EncodeToString(b[:])
}

func (s *Server) now() view {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.view
}

// moved reports whether the files may not be those that were read last.
func (s *Server) moved(now look) bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.seen.fresh || s.seen.traces != now.traces
}

// renew reads the files again and tells the pages where they say something else. It looks before it reads, so that whatever is written meanwhile is seen
// at the next look.
func (s *Server) renew() {
	s.reading.Lock()
	defer s.reading.Unlock()
	seen, before := lookAt(s.options.Paths, time.Now()), s.now()
	after := before.state
	if !s.options.sayStill(before.state) {
		after = s.options.readState()
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	s.seen = seen
	if after.version == before.version {
		return
	}
	s.view = before.followed(after)
	for page := range s.waiting {
		select {
		case page <- struct{}{}:
		default: // it has not taken the last news yet, and will see this with it
		}
	}
}

// Address is where the bench is opened, for a host and port.
func (s *Server) Address(host string) string {
	return "http://" + host + "/?" + url.Values{"key": {s.Key}}.Encode()
}

// Handler answers for one host and port, "127.0.0.1:8080", and no other name for it but localhost: a page from elsewhere that has its own name
// lead here is turned away, and so is whoever does not show the key.
func (s *Server) Handler(host string) http.Handler {
	mux := http.NewServeMux()
	mux.HandleFunc("GET /{$}", s.keyed(s.page))
	mux.HandleFunc("GET /order", s.keyed(s.order))
	mux.HandleFunc("GET /events", s.keyed(s.events))
	mux.HandleFunc("GET /bench.js", script)
	mux.HandleFunc("POST /try", s.keyed(s.try))
	mux.HandleFunc("POST /keep", s.keyed(s.keep))
	return guard(host, mux)
}

// guard turns away what does not come from a page of this host.
func guard(host string, next http.Handler) http.Handler {
	_, port, _ := strings.Cut(host, ":")
	hosts := []string{host, "localhost:" + port}
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := w.Header()
		h.Set("Content-Security-Policy", "default-src 'none'; script-src 'self'; style-src 'unsafe-inline'; img-src data:; connect-src 'self'; frame-ancestors 'none'; form-action 'none'; base-uri 'none'")
		h.Set("Referrer-Policy", "no-referrer")
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Cross-Origin-Resource-Policy", "same-origin")
		h.Set("Cache-Control", "no-store")
		if !slices.Contains(hosts, r.Host) || !ownOrigin(r) {
			http.Error(w, "this bench answers its own page only", http.StatusForbidden)
			return
		}
		next.ServeHTTP(w, r)
	})
}

// ownOrigin reports whether a request comes from the page of the host that it asks, or from no page at all. What writes must say where it comes from.
func ownOrigin(r *http.Request) bool {
	if site := r.Header.Get("Sec-Fetch-Site"); site != "" && site != "same-origin" && site != "none" {
		return false
	}
	origin := r.Header.Get("Origin")
	if origin == "" {
		return r.Method == http.MethodGet || r.Method == http.MethodHead
	}
	return origin == "http://"+r.Host
}

// keyed lets through whoever shows the key: in the address to read, in a header of its own to write.
func (s *Server) keyed(next http.HandlerFunc) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		key := r.URL.Query().Get("key")
		if r.Method == http.MethodPost {
			key = r.Header.Get("X-Squab-Key")
		}
		if subtle.ConstantTimeCompare([]byte(key), []byte(s.Key)) != 1 {
			http.Error(w, "open the address that squab bench printed: it holds the key", http.StatusForbidden)
			return
		}
		next(w, r)
	}
}

func script(w http.ResponseWriter, _ *http.Request) {
	text, err := page.BenchScript()
	if err != nil {
		http.Error(w, err.Error(), http.StatusInternalServerError)
		return
	}
	w.Header().Set("Content-Type", "text/javascript; charset=utf-8")
	w.Write(text)
}

const bodyMost = 64 << 10

// body reads a request's JSON.
func body[T any](w http.ResponseWriter, r *http.Request) (T, error) {
	var v T
	if kind := r.Header.Get("Content-Type"); kind != "application/json" {
		return v, errors.New("the bench is asked in JSON")
	}
	d := json.NewDecoder(http.MaxBytesReader(w, r.Body, bodyMost))
	d.DisallowUnknownFields()
	if err := d.Decode(&v); err != nil {
		return v, fmt.Errorf("the bench cannot read what it is asked: %w", err)
	}
	if _, err := d.Token(); !errors.Is(err, io.EOF) { // read to the end, so that the server sees a page go away
		return v, errors.New("the bench is asked one thing at a time")
	}
	return v, nil
}

func answer[T any](w http.ResponseWriter, status int, v T) {
	w.Header().Set("Content-Type", "application/json")
	w.WriteHeader(status)
	json.NewEncoder(w).Encode(v) // the page may have gone away, which is no error here
}

// events tells a page of every change of the files, and at once what they say now.
func (s *Server) events(w http.ResponseWriter, r *http.Request) {
	news := make(chan struct{}, 1)
	s.mu.Lock()
	s.waiting[news] = true
	s.mu.Unlock()
	defer func() {
		s.mu.Lock()
		delete(s.waiting, news)
		s.mu.Unlock()
	}()
	w.Header().Set("Content-Type", "text/event-stream")
	out := http.NewResponseController(w)
	alive := time.NewTicker(15 * time.Second)
	defer alive.Stop()
	for text := "data: " + oneLine(s.now().version) + "\n\n"; ; {
		if _, err := w.Write([]byte(text)); err != nil || out.Flush() != nil {
			return
		}
		select {
		case <-r.Context().Done():
			return
		case <-news:
			text = "data: " + oneLine(s.now().version) + "\n\n"
		case <-alive.C:
			text = ": still here\n\n"
		}
	}
}

func oneLine(s string) string { return strings.Join(strings.Fields(s), " ") }
