package record_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"squab/cmd/squab/internal/record"
	"squab/lang/diag"
)

// kept is what cut would have written.
const kept = `{"schema":1,"rules":"ab","orders":[` +
	`{"id":"7","title":"North window","count":2,"cells":{"wide":{"exact":"41","unit":"in","shown":"41 in"},"lined":true,"across":[{"exact":"1","unit":"in","shown":"1 in"}]},` +
	`"pieces":[{"name":"top","wide":{"exact":"41","unit":"in","shown":"41 in"},"count":1}],"marks":[{"name":"holes","points":[{"label":"A1"}]}],` +
	`"buy":[{"material":"felt","cost":{"exact":"9","unit":"USD","shown":"$9.00"}}],"price":{"total":{"exact":"9","unit":"USD","shown":"$9.00"}},"steps":["Fold"]},` +
	`{"id":"8","title":"","count":1,"cells":{},"pieces":[],"marks":[],"buy":[],"price":{},"steps":[]}],` +
	`"refused":[{"order":"9","problems":[{"message":"too wide"}]}],"together":[]}`

func sample(t testing.TB) []byte {
	t.Helper()
	files := &diag.Files{}
	files.Add("trade/a.squab", "rule strap: length = 1 in\n", diag.Trade)
	files.Add("house.squab", "amend strap = 2 in # < & >\n", diag.House)
	r := record.Record{Schema: record.Schema, Record: record.Kind, Rules: "ab", Sources: record.SourcesOf(files), Date: "2026-04-02",
		Rows: &record.Rows{Name: "pads.csv", Recipe: "mat", Text: "order,wide\n7,41 in\n"}, Effort: 20_000, Sets: []string{"strap=3 in"}, Answers: json.RawMessage(kept)}
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

func TestChangedRecordsAreRefusedByName(t *testing.T) {
	tests := []struct{ from, to, want string }{
		{"strap = 2 in", "strap = 4 in", "source house.squab, text has been changed"},
		{`"2026-04-02"`, `"2026-04-03"`, "date has been changed"},
		{`"by_area":false`, `"by_area":true`, "by_area has been changed"},
		{`"strap=3 in"`, `"strap=2 in"`, "sets has been changed"},
		{`7,41 in`, `7,40 in`, "the file of orders, text has been changed"},
		{`"wide":{"exact":"41"`, `"wide":{"exact":"40"`, "order 7, cells.wide has been changed"},
		{`"lined":true`, `"lined":false`, "order 7, cells.lined has been changed"},
		{`"name":"top","wide":{"exact":"41"`, `"name":"top","wide":{"exact":"14"`, "order 7, pieces.top.wide has been changed"},
		{`"label":"A1"`, `"label":"A2"`, "order 7, marks.holes.points has been changed"},
		{`"material":"felt","cost":{"exact":"9"`, `"material":"felt","cost":{"exact":"8"`, "order 7, buy.felt.cost has been changed"},
		{`"price":{"total":{"exact":"9"`, `"price":{"total":{"exact":"8"`, "order 7, price.total has been changed"},
		{`"steps":["Fold"]`, `"steps":["Cut"]`, "order 7, steps has been changed"},
		{`"lined":true,`, ``, "order 7, cells.lined is missing"},
		{`"lined":true,`, `"lined":true,"more":1,`, "order 7, cells.more has been put in"},
		{`"id":"8"`, `"id":"18"`, "order 8 is missing; order 18 has been put in"},
		{`"message":"too wide"`, `"message":"too long"`, "the refused order 9, problems"},
		{`"schema":2`, `"schema":3`, "schema: expected 2, found 3"},
		{`"squab cut"`, `"squab"`, `record: expected "squab cut"`},
		{`"schema":2`, `"extra":1,"schema":2`, `this is no record: unknown field "extra"`},
		{`"schema":2`, `"schema":2,"schema":2`, "something in the file"},
		{`"schema":2,"record":"squab cut"`, `"record":"squab cut","schema":2`, "stands in another order"},
		{`"effort":20000`, `"effort":"much"`, "effort: a string stands there"},
		{`"effort":20000`, `"effort":2,0`, "this is no record, in effort"},
		{`"layer":"house"`, `"layer":"order"`, "source house.squab, layer has been changed"},
		{`"checksum":"`, `"checksum":"0`, "checksum: expected"},
	}
	for _, test := range tests {
		data := string(sample(t))
		if !strings.Contains(data, test.from) {
			t.Errorf("the sample does not hold %s", test.from)
		}
		if _, err := record.Read([]byte(strings.Replace(data, test.from, test.to, 1))); err == nil || !strings.Contains(err.Error(), test.want) {
			t.Errorf("%s for %s: %v, want %q", test.to, test.from, err, test.want)
		}
	}
}

// TestForgedPartsAreRefused seals records whose checksums of parts all fit, but whose sources cannot be what they say.
func TestForgedPartsAreRefused(t *testing.T) {
	for _, c := range []struct {
		forge func(*record.Source)
		want  string
	}{
		{func(s *record.Source) { s.SHA256 = strings.Repeat("0", 64) }, "source house.squab, sha256: expected "},
		{func(s *record.Source) { s.Layer = "order" }, `source house.squab, layer: expected trade or house, found "order"`},
		{func(s *record.Source) { s.Text += " " }, "source house.squab, sha256: expected "},
	} {
		r, err := record.Read(sample(t))
		if err != nil {
			t.Fatal(err)
		}
		c.forge(&r.Sources[1])
		data, err := r.Encode()
		if err != nil {
			t.Fatal(err)
		}
		if _, err := record.Read(data); err == nil || !strings.HasPrefix(err.Error(), c.want) {
			t.Errorf("%v, want %s", err, c.want)
		}
	}
}

// TestManyChangesAreCounted changes a dozen orders: eight are named, and the others counted.
func TestManyChangesAreCounted(t *testing.T) {
	var was, now []string
	for i := range 12 {
		was = append(was, fmt.Sprintf(`{"id":"%d","count":1}`, i))
		now = append(now, fmt.Sprintf(`{"id":"%d","count":2}`, i))
	}
	list := func(all []string) json.RawMessage {
		return json.RawMessage(`{"orders":[` + strings.Join(all, ",") + `]}`)
	}
	told := record.Sentence(record.Compare(list(was), list(now), "answers"))
	if strings.Count(told, "has been changed") != 8 || !strings.HasSuffix(told, "order 7, count has been changed; 4 more do not fit") {
		t.Error(told)
	}
	if told := record.Sentence(record.Compare(list(was[:8]), list(now[:8]), "answers")); strings.Count(told, "has been changed") != 8 || strings.Contains(told, "more") {
		t.Error(told)
	}
}

// TestRecordsTellWhatTheyAre asks files of many kinds whether they are records, whole or not.
func TestRecordsTellWhatTheyAre(t *testing.T) {
	for text, want := range map[string]bool{
		string(sample(t)):                       true,
		string(sample(t)[:60]):                  true,
		`{"record":"squab cut"`:                 true,
		`{"schema":1,"rules":"ab","orders":[]}`: false,
		`{"schema":2,"record":"squab ticket"}`:  false,
		`{"schema":2,"record":`:                 false,
		``:                                      false,
		`order,wide`:                            false,
		`{"a":[[[[[[[[["squab cut"]]]]]]]]]}`:   false,
	} {
		if got := record.Is([]byte(text)); got != want {
			t.Errorf("%.40s is a record: %v", text, got)
		}
	}
}

func TestChangedBytesAreRefused(t *testing.T) {
	data := bytes.TrimSpace(sample(t))
	others := []byte{'0', 'x', '"', 0}
	for i := 0; i < len(data); i += 3 {
		b := others[i%len(others)]
		if data[i] == b {
			continue
		}
		changed := bytes.Clone(data)
		changed[i] = b
		if _, err := record.Read(changed); err == nil {
			t.Fatalf("%q for %q at byte %d is taken for the same record", b, data[i], i)
		}
	}
}

func TestTruncationsAreRefused(t *testing.T) {
	data := bytes.TrimSpace(sample(t))
	for n := 0; n < len(data); n += 3 {
		if _, err := record.Read(data[:n]); err == nil || !strings.Contains(err.Error(), "before it is complete") {
			t.Fatalf("the first %d of %d bytes: %v", n, len(data), err)
		}
	}
	for _, test := range []struct{ upTo, want string }{
		{`"lined":`, "in order 7, cells.lined"},
		{`amend strap`, "in source house.squab, text"},
		{`"message":"too`, "in the refused order 9, problems.message"},
		{`"schema":2`, "in schema"},
		{`{`, "before it is complete"},
	} {
		end := bytes.Index(data, []byte(test.upTo)) + len(test.upTo)
		if _, err := record.Read(data[:end]); err == nil || !strings.HasSuffix(err.Error(), test.want) {
			t.Errorf("up to %s: %v, want %q", test.upTo, err, test.want)
		}
	}
}

// TestRecordsOfOrdersThatShareANumberComeBack keeps orders of one number, and one whose number looks like that of the second.
func TestRecordsOfOrdersThatShareANumberComeBack(t *testing.T) {
	for _, ids := range [][]string{{"7", "7"}, {"7", "7", "7 (2)"}, {"7 (2)", "7", "7"}, {"7", "7 (2)", "7", "7 (3)", "7"}} {
		var orders []string
		for i, id := range ids {
			orders = append(orders, fmt.Sprintf(`{"id":"%s","count":%d}`, id, i+1))
		}
		r := record.Record{Schema: record.Schema, Record: record.Kind, Answers: json.RawMessage(`{"orders":[` + strings.Join(orders, ",") + `]}`)}
		data, err := r.Encode()
		if err != nil {
			t.Fatal(err)
		}
		if _, err := record.Read(data); err != nil {
			t.Errorf("orders %q: %v", ids, err)
		}
		for i := range ids {
			changed := strings.Replace(string(data), fmt.Sprintf(`"count":%d`, i+1), `"count":99`, 1)
			if _, err := record.Read([]byte(changed)); err == nil || strings.Count(err.Error(), "has been changed") != 1 {
				t.Errorf("orders %q: a change of the order at place %d is told as: %v", ids, i+1, err)
			}
		}
	}
}

func TestCompareAnswers(t *testing.T) {
	r, err := record.Read(sample(t))
	if err != nil {
		t.Fatal(err)
	}
	was := r.Answer("7")
	now := json.RawMessage(strings.Replace(string(was), `"exact":"41"`, `"exact":"42"`, 2))
	if got := record.Sentence(record.Compare(was, now, "answers", "orders", "7")); got != "order 7, cells.wide has been changed; order 7, pieces.top.wide has been changed" {
		t.Error(got)
	}
	if same := record.Compare(was, was, "answers", "orders", "7"); len(same) > 0 {
		t.Error(same)
	}
	if r.Answer("9") != nil {
		t.Error("there is an answer for an order that was refused")
	}
}

func TestDeepRecordsAreRefusedSoon(t *testing.T) {
	const deep = 9_000
	nested := strings.Repeat(`{"a":`, deep) + `""` + strings.Repeat("}", deep)
	for _, field := range []string{"sums", "answers"} {
		start := time.Now()
		if _, err := record.Read([]byte(`{"schema":2,"record":"squab cut","` + field + `":` + nested + `}`)); err == nil {
			t.Errorf("a record of deep %s is taken", field)
		}
		if took := time.Since(start); took > 5*time.Second {
			t.Errorf("deep %s take %v", field, took)
		}
	}
}

func FuzzRead(f *testing.F) {
	data := sample(f)
	f.Add(data)
	f.Add(data[:len(data)/2])
	f.Add(bytes.Replace(data, []byte(`"41"`), []byte(`"42"`), 1))
	for _, seed := range []string{`{"schema":2}`, `{"schema":2,"record":"squab cut","sums":{"a":{"b":"c"}}}`, `{"sums":[1]}`, `{"sums":{"a":[[]]}}`, `[[[[`, `{"answers":{"orders":[{"id":1},{}]}}`, `null`} {
		f.Add([]byte(seed))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		r, err := record.Read(data)
		if err != nil {
			if strings.TrimSpace(err.Error()) == "" {
				t.Error("a refusal says nothing")
			}
			return
		}
		again, err := r.Encode()
		if err != nil || !bytes.Equal(bytes.TrimSpace(again), bytes.TrimSpace(data)) {
			t.Errorf("what is taken for a record is not written so: %v", err)
		}
		r.Answer("7")
	})
}
