package bench

import (
	"net/http"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// Whoever is not the bench's own page is turned away, and changes nothing. Each case has one thing wrong.
func TestOthersAreTurnedAway(t *testing.T) {
	b := open(t)
	before := b.read("orders.squab")
	change := `{"order":"7","changes":[{"name":"wide","from":"30 in","to":"40 in"}]}`
	set := func(name, value string) func(*http.Request) {
		return func(r *http.Request) { b.asPage(r); r.Header.Set(name, value) }
	}
	without := func(name string) func(*http.Request) {
		return func(r *http.Request) { b.asPage(r); r.Header.Del(name) }
	}
	asHost := func(host string) func(*http.Request) { return func(r *http.Request) { b.asPage(r); r.Host = host } }
	fromOwn := func(host string) func(*http.Request) { // as a page is asked whose own name leads here
		return func(r *http.Request) { b.asPage(r); r.Host = host; r.Header.Set("Origin", "http://"+host) }
	}
	plain := func(host string) func(*http.Request) { return func(r *http.Request) { r.Host = host } }
	_, port, _ := strings.Cut(b.host, ":")
	tests := []struct {
		name, method, path, body string
		with                     func(*http.Request)
		want                     int
	}{
		{"the page without its key", "GET", "/", "", nil, 403},
		{"a wrong key", "GET", "/?key=" + strings.Repeat("0", 32), "", nil, 403},
		{"half the key", "GET", "/?key=" + b.Key[:16], "", nil, 403},
		{"what the files say, without the key", "GET", "/order?order=7", "", nil, 403},
		{"the news of the files, without the key", "GET", "/events", "", nil, 403},
		{"another name that leads here", "GET", "/?key=" + b.Key, "", asHost("bench.example"), 403},
		{"another name that leads here, and writes", "POST", "/keep", change, asHost("bench.example:" + port), 403},
		{"a page of another name that leads here, and writes to its own", "POST", "/keep", change, fromOwn("bench.example:" + port), 403},
		{"a page of another name that leads here, and tries", "POST", "/try", change, fromOwn("bench.example:" + port), 403},
		{"a page of another name that leads here, and reads", "GET", "/order?order=7&key=" + b.Key, "", plain("bench.example:" + port), 403},
		{"this machine by another port's name", "POST", "/keep", change, fromOwn("127.0.0.1:1"), 403},
		{"a name that begins alike", "GET", "/?key=" + b.Key, "", asHost(b.host + ".bench.example"), 403},
		{"another port", "GET", "/?key=" + b.Key, "", asHost("127.0.0.1:1"), 403},
		{"no port", "GET", "/?key=" + b.Key, "", asHost("127.0.0.1"), 403},
		{"a page from elsewhere that reads", "GET", "/order?order=7&key=" + b.Key, "", set("Sec-Fetch-Site", "cross-site"), 403},
		{"a page of another port that reads", "GET", "/order?order=7&key=" + b.Key, "", set("Sec-Fetch-Site", "same-site"), 403},
		{"reading from another origin", "GET", "/order?order=7&key=" + b.Key, "", set("Origin", "http://bench.example"), 403},
		{"writing without the key", "POST", "/keep", change, without("X-Squab-Key"), 403},
		{"writing with the key in the address", "POST", "/keep?key=" + b.Key, change, without("X-Squab-Key"), 403},
		{"trying without the key", "POST", "/try", change, without("X-Squab-Key"), 403},
		{"writing from another origin", "POST", "/keep", change, set("Origin", "http://bench.example"), 403},
		{"writing from another port", "POST", "/keep", change, set("Origin", "http://127.0.0.1:1"), 403},
		{"writing from an origin that begins alike", "POST", "/keep", change, set("Origin", "http://"+b.host+".bench.example"), 403},
		{"writing from the other name of this host", "POST", "/keep", change, set("Origin", "http://localhost:"+port), 403},
		{"writing over another scheme", "POST", "/keep", change, set("Origin", "https://"+b.host), 403},
		{"writing from nowhere", "POST", "/keep", change, without("Origin"), 403},
		{"writing from a sandbox", "POST", "/keep", change, set("Origin", "null"), 403},
		{"writing as a form does", "POST", "/keep", change, set("Content-Type", "text/plain"), 400},
		{"a field that is not known", "POST", "/keep", `{"order":"7","path":"/etc/x"}`, b.asPage, 400},
		{"two wishes", "POST", "/keep", change + change, b.asPage, 400},
		{"no JSON", "POST", "/keep", change[:20], b.asPage, 400},
		{"too much", "POST", "/keep", `{"order":"` + strings.Repeat("x", bodyMost) + `"}`, b.asPage, 400},
		{"reading by writing", "GET", "/keep?key=" + b.Key, "", nil, 405},
		{"another path", "GET", "/../house.squab?key=" + b.Key, "", nil, 404},
		{"a file of the house", "GET", "/orders.squab?key=" + b.Key, "", nil, 404},
	}
	for _, tt := range tests {
		if status, text := b.request(tt.method, tt.path, tt.body, tt.with); status != tt.want {
			t.Errorf("%s: %d (%s), want %d", tt.name, status, text, tt.want)
		}
	}
	if diff := cmp.Diff(before, b.read("orders.squab")); diff != "" {
		t.Errorf("the orders were changed:\n%s", diff)
	}
	if status, text := b.request("POST", "/keep", change, b.asPage); status != 200 {
		t.Errorf("the same with nothing wrong: %d, %s", status, text)
	}
	b.holds("orders.squab", "= 40 in")
}

// The page itself is let in under both names of this machine, and tells the browser to let nothing else in.
func TestThePageIsLetIn(t *testing.T) {
	b := open(t)
	_, port, _ := strings.Cut(b.host, ":")
	for _, host := range []string{b.host, "localhost:" + port} {
		status, text := b.request("GET", "/?key="+b.Key, "", func(r *http.Request) { r.Host = host })
		if status != 200 || !strings.Contains(text, "Order 7: Window") {
			t.Errorf("%s: %d: %.200s", host, status, text)
		}
		status, text = b.request("POST", "/try", `{"order":"7","changes":[]}`, func(r *http.Request) {
			b.asPage(r)
			r.Host = host
			r.Header.Set("Origin", "http://"+host)
		})
		if status != 200 || !strings.Contains(text, "Order 7: Window") {
			t.Errorf("trying at %s: %d: %.200s", host, status, text)
		}
	}
	if !strings.HasPrefix(b.Address(b.host), "http://"+b.host+"/?key=") || len(b.Key) != 32 {
		t.Errorf("the address is %s", b.Address(b.host))
	}
	answer, err := http.Get(b.Address(b.host))
	if err != nil {
		t.Fatal(err)
	}
	answer.Body.Close()
	for name, want := range map[string]string{"Referrer-Policy": "no-referrer", "X-Content-Type-Options": "nosniff", "Cache-Control": "no-store", "Cross-Origin-Resource-Policy": "same-origin"} {
		if got := answer.Header.Get(name); got != want {
			t.Errorf("%s is %q, want %q", name, got, want)
		}
	}
	policy := answer.Header.Get("Content-Security-Policy")
	for _, part := range []string{"default-src 'none'", "script-src 'self'", "connect-src 'self'", "frame-ancestors 'none'", "form-action 'none'", "base-uri 'none'"} {
		if !strings.Contains(policy, part) {
			t.Errorf("the policy %q lacks %s", policy, part)
		}
	}
}
