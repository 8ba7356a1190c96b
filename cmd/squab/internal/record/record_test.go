package record_test

import (
	"bytes"
	"encoding/json"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"squab/cmd/squab/internal/record"
	"squab/lang/diag"
)

func sample(t testing.TB) []byte {
	t.Helper()
	files := &diag.Files{}
	files.Add("trade/a.squab", "rule strap: length = 1 in\n", diag.Trade)
	files.Add("house.squab", "amend strap = 2 in # < & >\n", diag.House)
	r := record.Record{Schema: record.Schema, Record: record.Kind, Rules: "ab", Sources: record.SourcesOf(files), Date: "2026-04-02",
		Effort: 20_000, Sets: []string{"strap=3 in"}, Answers: json.RawMessage(`{"orders":[]}`)}
	data, err := r.Encode()
	if err != nil {
		t.Fatal(err)
	}
	return data
}

func TestRecordComesBackWhole(t *testing.T) {
	data := sample(t)
	r, err := record.Read(data)
	if err != nil {
		t.Fatal(err)
	}
	again, err := r.Encode()
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(string(data), string(again)); diff != "" {
		t.Errorf("-written +read and written:\n%s", diff)
	}
	if diff := cmp.Diff(r.Sources, record.SourcesOf(r.Files())); diff != "" {
		t.Errorf("the sources differ:\n%s", diff)
	}
}

func TestChangedRecordsAreRefused(t *testing.T) {
	tests := []struct{ from, to, want string }{
		{"strap = 2 in", "strap = 4 in", "source house.squab has been changed"},
		{"2026-04-02", "2026-04-03", "checksum: expected"},
		{`"orders":[]`, `"orders":[1]`, "checksum: expected"},
		{`"schema":1`, `"schema":2`, "schema: expected 1, found 2"},
		{`"squab cut"`, `"squab"`, `record: expected "squab cut"`},
		{`"schema":1`, `"extra":1,"schema":1`, "this is no record"},
		{`"schema":1`, `"schema":1,"schema":1`, "something in the file"},
		{`"house"`, `"order"`, "layer of source house.squab"},
	}
	for _, test := range tests {
		changed := strings.Replace(string(sample(t)), test.from, test.to, 1)
		if _, err := record.Read([]byte(changed)); err == nil || !strings.Contains(err.Error(), test.want) {
			t.Errorf("%s for %s: %v, want %q", test.to, test.from, err, test.want)
		}
	}
}

func TestEveryTruncationIsRefused(t *testing.T) {
	data := bytes.TrimSpace(sample(t))
	for n := range data {
		if _, err := record.Read(data[:n]); err == nil {
			t.Fatalf("the first %d of %d bytes are taken for a record", n, len(data))
		}
	}
}

func FuzzRead(f *testing.F) {
	f.Add(sample(f))
	f.Add([]byte(`{"schema":1}`))
	f.Fuzz(func(t *testing.T, data []byte) {
		r, err := record.Read(data)
		if err != nil {
			return
		}
		again, err := r.Encode()
		if err != nil || !bytes.Equal(bytes.TrimSpace(again), bytes.TrimSpace(data)) {
			t.Errorf("what is taken for a record is not written so: %v", err)
		}
	})
}
