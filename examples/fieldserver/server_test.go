package main

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"math/rand/v2"
	"net"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"
	"unicode/utf8"

	"example.com/steelyard/ballast"
	"example.com/steelyard/ballast/weigh"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// The tests of signals run this program as a process of its own: the test
// binary turns into it when the environment says so.
func TestMain(m *testing.M) {
	if os.Getenv("BE_FIELDSERVER") == "1" {
		main()
	}
	os.Exit(m.Run())
}

// body returns a valid body for each operation.
func body(t testing.TB, path string) []byte {
	t.Helper()
	name := "document.json"
	switch path {
	case "/loads-by-height", "/plan", "/fill", "/slope", "/weighing":
		name = path[1:] + ".json"
	}
	data, err := os.ReadFile(filepath.Join("testdata", name))
	if err != nil {
		t.Fatal(err)
	}
	return data
}

// logs collects what a server logs.
type logs struct {
	mu  sync.Mutex
	buf bytes.Buffer
}

func (l *logs) Write(p []byte) (int, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.buf.Write(p)
}

func (l *logs) String() string {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.buf.String()
}

// start runs a server on the loopback; stop ends it as a signal would and
// returns what serve returned.
func start(t testing.TB, lim limits) (url string, log *logs, stop func() error) {
	t.Helper()
	ln, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	log = &logs{}
	ctx, cancel := context.WithCancel(context.Background())
	done := make(chan error, 1)
	go func() { done <- serve(ctx, ln, lim, "", nil, slog.New(slog.NewJSONHandler(log, nil))) }()
	var once sync.Once
	stop = func() error {
		err := errors.New("stopped before")
		once.Do(func() { cancel(); err = <-done })
		return err
	}
	t.Cleanup(func() { stop() })
	return "http://" + ln.Addr().String(), log, stop
}

// response is what came back.
type response struct {
	status int
	kind   string
	header http.Header
	body   []byte
}

func send(t testing.TB, c *http.Client, method, url, contentType string, body []byte) response {
	t.Helper()
	r, err := http.NewRequest(method, url, bytes.NewReader(body))
	if err != nil {
		t.Fatal(err)
	}
	if contentType != "" {
		r.Header.Set("Content-Type", contentType)
	}
	got, err := c.Do(r)
	if err != nil {
		t.Fatal(err)
	}
	defer got.Body.Close()
	data, err := io.ReadAll(got.Body)
	if err != nil {
		t.Fatal(err)
	}
	return response{got.StatusCode, got.Header.Get("Content-Type"), got.Header, data}
}

func post(t testing.TB, url string, body []byte) response {
	return send(t, http.DefaultClient, "POST", url, "application/json", body)
}

// problemOf reads a response as a problem, and checks that it is one.
func problemOf(t testing.TB, r response) problem {
	t.Helper()
	var p problem
	if err := json.Unmarshal(r.body, &p); err != nil || r.kind != "application/problem+json" || p.Status != r.status || p.Title == "" {
		t.Errorf("status %d, %s is no problem: %s", r.status, r.kind, r.body)
	}
	return p
}

func root(t testing.TB) object {
	t.Helper()
	var o object
	if err := json.Unmarshal(description, &o); err != nil {
		t.Fatal(err)
	}
	return o
}

// at walks into the description.
func at(o object, keys ...string) object {
	for _, k := range keys {
		o, _ = o[k].(object)
	}
	return o
}

// Valid bodies and their answers are as the description says, and the answers
// are those of the library called directly.
func TestAnswers(t *testing.T) {
	url, _, _ := start(t, defaultLimits)
	doc := root(t)
	for _, op := range operations {
		in := body(t, op.path)
		var v any
		if err := json.Unmarshal(in, &v); err != nil {
			t.Fatal(err)
		}
		described := at(doc, "paths", op.path, "post")
		if err := conforms(doc, at(described, "requestBody", "content", "application/json", "schema"), v, "body"); err != nil {
			t.Errorf("%s: %v", op.path, err)
		}
		got := post(t, url+op.path, in)
		if got.status != 200 || got.kind != "application/json" || got.header.Get("Cache-Control") != "no-store" {
			t.Fatalf("%s: %d %s %s", op.path, got.status, got.kind, got.body)
		}
		if err := json.Unmarshal(got.body, &v); err != nil {
			t.Fatal(err)
		}
		if err := conforms(doc, at(described, "responses", "200", "content", "application/json", "schema"), v, "answer"); err != nil {
			t.Errorf("%s: %v", op.path, err)
		}
	}

	document, err := ballast.Decode(bytes.NewReader(body(t, "/usable-load")))
	if err != nil {
		t.Fatal(err)
	}
	var use struct {
		Answers []struct{ Usable json.RawMessage }
	}
	if err := json.Unmarshal(post(t, url+"/usable-load", body(t, "/usable-load")).body, &use); err != nil {
		t.Fatal(err)
	}
	if len(use.Answers) != len(document.Lifts) {
		t.Fatalf("%d answers to %d lifts", len(use.Answers), len(document.Lifts))
	}
	for i, lift := range document.Lifts {
		want, err := document.Setup.UsableLoad(lift)
		if err != nil {
			t.Fatal(err)
		}
		text, err := json.Marshal(want)
		if err != nil {
			t.Fatal(err)
		}
		if string(text) != string(use.Answers[i].Usable) {
			t.Errorf("lift %d: got %s, want %s", i, use.Answers[i].Usable, text)
		}
	}
}

// The description lists what the server serves, and nothing else.
func TestRoutesAreDescribed(t *testing.T) {
	url, _, _ := start(t, defaultLimits)
	got := send(t, http.DefaultClient, "GET", url+"/openapi.json", "", nil)
	var o object
	if err := json.Unmarshal(got.body, &o); err != nil || got.status != 200 {
		t.Fatalf("%d, %v", got.status, err)
	}
	if o["openapi"] != "3.1.0" {
		t.Errorf("openapi: %v", o["openapi"])
	}
	want := []string{"/health", "/openapi.json", "/yard"}
	for _, op := range operations {
		want = append(want, op.path)
	}
	var paths []string
	for p := range o["paths"].(object) {
		paths = append(paths, p)
	}
	slices.Sort(paths)
	slices.Sort(want)
	if !slices.Equal(paths, want) {
		t.Errorf("described %q, served %q", paths, want)
	}
	for p, item := range o["paths"].(object) {
		for _, method := range []string{"GET", "POST", "PUT", "DELETE", "OPTIONS"} {
			_, described := item.(object)[strings.ToLower(method)]
			r := send(t, http.DefaultClient, method, url+p, "application/json", []byte("{}"))
			if (r.status != http.StatusMethodNotAllowed) != described {
				t.Errorf("%s %s: status %d, described %v", method, p, r.status, described)
			}
			if r.status != http.StatusMethodNotAllowed {
				continue
			}
			problemOf(t, r)
			var allowed []string
			for name := range item.(object) {
				allowed = append(allowed, strings.ToUpper(name))
				refusal := at(o, "paths", p, name, "responses", "405")
				if at(refusal, "headers", "Allow", "schema")["type"] != "string" || at(refusal, "content", "application/problem+json", "schema") == nil {
					t.Errorf("%s %s: the 405 is not described", name, p)
				}
			}
			if allow := r.header.Get("Allow"); len(allowed) != 1 || strings.TrimSuffix(allow, ", HEAD") != allowed[0] {
				t.Errorf("%s %s: Allow %q, described are %q", method, p, allow, allowed)
			}
		}
	}
	for _, p := range []string{"/", "/nosuch", "/usable-load/", "/check/1", "/health/x"} {
		if r := post(t, url+p, nil); r.status != 404 {
			t.Errorf("%s: status %d", p, r.status)
		} else {
			problemOf(t, r)
		}
	}
	if r := send(t, http.DefaultClient, "GET", url+"/health", "", nil); r.status != 200 || strings.TrimSpace(string(r.body)) != `{"status":"ok"}` {
		t.Errorf("health: %d %s", r.status, r.body)
	}
}

// edit returns a valid document with one change.
func edit(t testing.TB, old, new string) []byte {
	t.Helper()
	in := string(body(t, "/usable-load"))
	if !strings.Contains(in, old) {
		t.Fatalf("no %q in the document", old)
	}
	return []byte(strings.Replace(in, old, new, 1))
}

// hostile lists bodies that must be refused, with the status and, where a
// field is to blame, its path.
func hostile(t testing.TB) []struct {
	name   string
	body   []byte
	status int
	path   string
} {
	deep := []byte(strings.Repeat(`{"setup":`, 25000))
	return []struct {
		name   string
		body   []byte
		status int
		path   string
	}{
		{"empty", nil, 400, ""},
		{"no JSON", []byte("wheelbase=2"), 400, ""},
		{"cut short", body(t, "/usable-load")[:500], 400, ""},
		{"two documents", append(body(t, "/usable-load"), "{}"...), 400, ""},
		{"a list", []byte("[]"), 422, ""},
		{"null", []byte("null"), 422, ""},
		{"a number", []byte("1e999"), 422, ""},
		{"an empty object", []byte("{}"), 422, "version"},
		{"deep", deep, 400, ""},
		{"deep lists", []byte(strings.Repeat("[", 200000)), 400, ""},
		{"not UTF-8", []byte("{\"version\":\"\xff\xfe\"}"), 422, ""},
		{"too large", bytes.Repeat([]byte(" "), 2<<20), 413, ""},
		{"unknown field", edit(t, `"wheelbase"`, `"wheelbaes"`), 422, "setup.machine.wheelbaes"},
		{"repeated field", edit(t, `"wheelbase"`, `"wheelbase":"2 m","wheelbase"`), 422, "setup.machine.wheelbase"},
		{"without a unit", edit(t, `"wheelbase": "1.95 m"`, `"wheelbase": 1.95`), 422, "setup.machine.wheelbase"},
		{"a wrong unit", edit(t, `"wheelbase": "1.95 m"`, `"wheelbase": "1.95 kg"`), 422, "setup.machine.wheelbase"},
		{"negative", edit(t, `"wheelbase": "1.95 m"`, `"wheelbase": "-1.95 m"`), 422, "setup.machine.wheelbase"},
		{"NaN", edit(t, `"wheelbase": "1.95 m"`, `"wheelbase": "NaN m"`), 422, "setup.machine.wheelbase"},
		{"infinite", edit(t, `"wheelbase": "1.95 m"`, `"wheelbase": "1e400 m"`), 422, "setup.machine.wheelbase"},
		{"huge", edit(t, `"wheelbase": "1.95 m"`, `"wheelbase": "1e308 m"`), 422, "setup.machine.wheelbase"},
		{"a long text", edit(t, `"wheelbase": "1.95 m"`, `"wheelbase": "`+strings.Repeat("9", 100000)+`"`), 422, "setup.machine.wheelbase"},
		{"an unknown choice", edit(t, `"forks"`, `"spoon"`), 422, "setup.attachment.kind"},
		{"out of reach", edit(t, `"height": "1.1 m"`, `"height": "9 m"`), 422, "lifts[0].height"},
		{"version 3", edit(t, `"version": 2`, `"version": 3`), 422, "version"},
		{"many lifts", []byte(`{"version":1,"lifts":[` + strings.Repeat("{},", 9999) + `{}]}`), 422, "lifts"},
		{"too many lifts", []byte(`{"version":1,"lifts":[` + strings.Repeat("{},", 79999) + `{}]}`), 422, ""},
	}
}

func TestHostileBodies(t *testing.T) {
	url, log, _ := start(t, defaultLimits)
	doc := root(t)
	for _, op := range operations[:2] {
		for _, h := range hostile(t) {
			got := post(t, url+op.path, h.body)
			p := problemOf(t, got)
			if got.status != h.status || len(got.body) > 64<<10 {
				t.Errorf("%s %s: status %d, want %d: %.300s", op.path, h.name, got.status, h.status, got.body)
			}
			if h.path != "" && !slices.ContainsFunc(p.Errors, func(f fieldProblem) bool { return f.Path == h.path && f.Want != "" }) {
				t.Errorf("%s %s: no error at %s: %.300s", op.path, h.name, h.path, got.body)
			}
			described := at(doc, "paths", op.path, "post", "responses", fmt.Sprint(got.status), "content", "application/problem+json", "schema")
			var v any
			if err := json.Unmarshal(got.body, &v); err != nil || described == nil {
				t.Fatal(err, described)
			}
			if err := conforms(doc, described, v, "problem"); err != nil {
				t.Errorf("%s %s: %v", op.path, h.name, err)
			}
		}
	}
	for _, kind := range []string{"", "text/plain", "application/x-www-form-urlencoded", ";"} {
		if got := send(t, http.DefaultClient, "POST", url+"/check", kind, []byte("{}")); got.status != 415 {
			t.Errorf("Content-Type %q: status %d", kind, got.status)
		}
	}
	if strings.Contains(log.String(), `"panic"`) {
		t.Errorf("a panic: %s", log)
	}
}

// Errors of loads by height are told by the paths of its own request.
func TestChartErrors(t *testing.T) {
	url, _, _ := start(t, defaultLimits)
	for _, c := range []struct{ old, new, path string }{
		{`"version": 2`, `"version": 3`, "version"},
		{`"datum": "tine"`, `"datum": "edge"`, "lift.datum"},
		{`"0.3 m"`, `"9 m"`, "heights[0]"},
		{`"fraction": "20 %"`, `"fraction": "99 %"`, "lift.basis.fraction"},
		{`"wheelbase": "1.95 m"`, `"wheelbase": "95 m"`, "setup.machine.wheelbase"},
	} {
		in := string(body(t, "/loads-by-height"))
		if !strings.Contains(in, c.old) {
			t.Fatalf("no %q in the request", c.old)
		}
		got := post(t, url+"/loads-by-height", []byte(strings.Replace(in, c.old, c.new, 1)))
		p := problemOf(t, got)
		if got.status != 422 || !slices.ContainsFunc(p.Errors, func(f fieldProblem) bool { return f.Path == c.path }) {
			t.Errorf("%s: status %d, %.400s", c.new, got.status, got.body)
		}
	}
}

// spoiled lists bodies of an operation that must be refused, with the status and, where a field is to
// blame, its path: what every operation refuses, and changes of its own body.
func spoiled(t testing.TB, path string) []struct {
	name   string
	body   []byte
	status int
	path   string
} {
	all := hostile(t)
	list := all[:0:0]
	for _, h := range all {
		switch h.name {
		case "empty", "no JSON", "a list", "null", "a number", "an empty object", "deep", "deep lists", "not UTF-8", "too large":
			list = append(list, h)
		}
	}
	whole := body(t, path)
	list = append(list, all[0])
	last := &list[len(list)-1]
	last.name, last.body, last.status = "cut short", whole[:len(whole)/2], 400
	for _, c := range map[string][][3]string{
		"/plan": {
			{`"wheelbase": "1.95 m"`, `"wheelbase": "-1.95 m"`, "setup.machine.wheelbase"},
			{`"needs"`, `"need"`, "need"},
			{`"hitch": "raised"`, `"hitch": "flying"`, "needs.list[0].hitch"},
			{`"count": 3`, `"count": 3000000`, "stock.items[1].count"},
			{`"most": "600 kg"`, `"most": "1e300 kg"`, "stock.items[0].range.most"},
			{`"list": [`, `"work": 100000, "list": [`, "needs.work"},
			{`"mass": "380 kg"`, `"mass": "NaN kg"`, "needs.list[0].lift.load.mass"},
		},
		"/fill": {
			{`"14.9-24"`, `"lorry"`, "fills[0].tire.designation"},
			{`"25 % by mass"`, `"95 % by mass"`, "fills[0].fluid.strength"},
			{`"calciumChloride"`, `"soup"`, "fills[0].fluid.kind"},
			{`"clock": 9`, `"clock": 19`, "fills[1].level.clock"},
			{`"clock": 9`, `"clock": 1e300`, "fills[1].level.clock"},
			{`"temperature": "10 degC"`, `"temperature": "1000 degC"`, "fills[0].temperature"},
			{`"fills": [`, `"fills": [` + strings.Repeat(`{"tire":{"designation":"14.9-24"},"fluid":{"kind":"water"},"level":{"kind":"valveClock","clock":9}},`, 20), "fills"},
		},
		"/slope": {
			{`"wheelbase": "1.95 m"`, `"wheelbase": "1.95 kg"`, "setup.machine.wheelbase"},
			{`"low": "0.4"`, `"low": "9"`, "ground.friction.low"},
			{`"margin": "2 deg"`, `"margin": "-2 deg"`, "ground.margin"},
			{`"height": "0.4 m"`, `"height": "9 m"`, "lift.height"},
			{`"height": "0.4 m"`, `"height": "0.4 m", "slope": "3 deg"`, "lift.slope"},
		},
		"/weighing": {
			{`"front": "1354 kg"`, `"front": "-1354 kg"`, "weighing.weights[0].front"},
			{`"length": "pivotZ"`, `"length": "pivot"`, "weighing.tape[3].length"},
			{`"value": "2.249 m"`, `"value": "1e308 m"`, "weighing.tape[4].value"},
			{`"sd": "3 kg"`, `"sd": "0 kg"`, "weighing.scale.sd"},
			{`"kind": "tippingLoad"`, `"kind": "luck"`, "questions[0].kind"},
			{`"version": 1`, `"version": 2`, "version"},
			{`"tape": [`, `"tape": [` + strings.Repeat(`{"length":"arm","value":"2.249 m","sd":"5 mm"},`, 60), "weighing"},
		},
	}[path] {
		if !strings.Contains(string(whole), c[0]) {
			t.Fatalf("%s: no %q in the body", path, c[0])
		}
		list = append(list, all[0])
		last := &list[len(list)-1]
		last.name, last.body, last.status, last.path = c[1], []byte(strings.Replace(string(whole), c[0], c[1], 1)), 422, c[2]
	}
	return list
}

// The page is served as it was written, in one piece, in parts and not again; without it there is a
// problem.
func TestPage(t *testing.T) {
	page := []byte("<!doctype html>\n<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'\">" + strings.Repeat("x", 1<<20))
	file := filepath.Join(t.TempDir(), "yard.html")
	if err := os.WriteFile(file, page, 0o644); err != nil {
		t.Fatal(err)
	}
	read, err := readPage(file)
	if err != nil {
		t.Fatal(err)
	}
	srv := httptest.NewServer(newHandler(defaultLimits, "", read, slog.New(slog.NewJSONHandler(io.Discard, nil))))
	defer srv.Close()
	got := send(t, srv.Client(), "GET", srv.URL+"/yard", "", nil)
	if got.status != 200 || !bytes.Equal(got.body, page) || got.kind != "text/html; charset=utf-8" || got.header.Get("Content-Security-Policy") != "frame-ancestors 'none'" || got.header.Get("X-Content-Type-Options") != "nosniff" {
		t.Errorf("%d %v", got.status, got.header)
	}
	r, _ := http.NewRequest("GET", srv.URL+"/yard", nil)
	r.Header.Set("If-None-Match", got.header.Get("ETag"))
	again, err := srv.Client().Do(r)
	if err != nil {
		t.Fatal(err)
	}
	again.Body.Close()
	if again.StatusCode != http.StatusNotModified {
		t.Errorf("again: %d", again.StatusCode)
	}
	if got := send(t, srv.Client(), "POST", srv.URL+"/yard", "text/html", nil); got.status != 405 {
		t.Errorf("POST: %d", got.status)
	}
	url, _, _ := start(t, defaultLimits)
	if got := send(t, http.DefaultClient, "GET", url+"/yard", "", nil); got.status != 404 {
		t.Errorf("without a page: %d", got.status)
	} else {
		problemOf(t, got)
	}
	for _, bad := range []string{"nosuch.html", "server_test.go", "."} {
		if _, err := readPage(bad); err == nil {
			t.Errorf("%s is taken as the page", bad)
		}
	}
}

// further are the operations that have a body of their own.
var further = []string{"/plan", "/fill", "/slope", "/weighing"}

func TestFurtherHostileBodies(t *testing.T) {
	url, log, _ := start(t, defaultLimits)
	doc := root(t)
	for _, path := range further {
		for _, h := range spoiled(t, path) {
			name := fmt.Sprintf("%s %.60s", path, h.name)
			got := post(t, url+path, h.body)
			p := problemOf(t, got)
			if got.status != h.status || len(got.body) > 64<<10 {
				t.Errorf("%s: status %d, want %d: %.300s", name, got.status, h.status, got.body)
			}
			if h.path != "" && !slices.ContainsFunc(p.Errors, func(f fieldProblem) bool { return f.Path == h.path && f.Want != "" }) {
				t.Errorf("%s: no error at %s: %.300s", name, h.path, got.body)
			}
			described := at(doc, "paths", path, "post", "responses", fmt.Sprint(got.status), "content", "application/problem+json", "schema")
			var v any
			if err := json.Unmarshal(got.body, &v); err != nil || described == nil {
				t.Fatal(err, described)
			}
			if err := conforms(doc, described, v, "problem"); err != nil {
				t.Errorf("%s: %v", name, err)
			}
		}
	}
	if strings.Contains(log.String(), `"panic"`) {
		t.Errorf("a panic: %s", log)
	}
}

// The further operations answer as the library does when it is called directly.
func TestFurtherAnswers(t *testing.T) {
	url, _, _ := start(t, defaultLimits)
	same := func(path, field string, want any) {
		t.Helper()
		var got map[string]json.RawMessage
		r := post(t, url+path, body(t, path))
		if err := json.Unmarshal(r.body, &got); err != nil || r.status != 200 {
			t.Fatalf("%s: %d %v", path, r.status, err)
		}
		text, err := json.Marshal(want)
		if err != nil {
			t.Fatal(err)
		}
		if string(text) != string(got[field]) {
			t.Errorf("%s: got %.400s, want %.400s", path, got[field], text)
		}
	}
	doc, err := ballast.Decode(bytes.NewReader(body(t, "/plan")))
	if err != nil {
		t.Fatal(err)
	}
	p, err := doc.Plan(context.Background())
	if err != nil || p.Status != ballast.PlanOptimal {
		t.Fatal(p.Status, err)
	}
	same("/plan", "plan", p)
	var s slopeRequest
	if err := ballast.DecodeInto(bytes.NewReader(body(t, "/slope")), &s); err != nil {
		t.Fatal(err)
	}
	e, err := s.Setup.Envelope(ballast.Practice{})
	if err != nil {
		t.Fatal(err)
	}
	l, err := e.SlopeLimit(context.Background(), s.Lift, s.Lift.Load.Mass, s.Ground)
	if err != nil || l.Status != stability.Within {
		t.Fatal(l.Status, err)
	}
	same("/slope", "slope", l)
	var w weighingRequest
	if err := ballast.DecodeInto(bytes.NewReader(body(t, "/weighing")), &w); err != nil {
		t.Fatal(err)
	}
	m, err := w.Weighing.Fit(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	var answers []weigh.Answer
	for _, q := range w.Questions {
		a, err := m.Ask(q)
		if err != nil || a.Mass.Value == 0 {
			t.Fatal(a, err)
		}
		answers = append(answers, a)
	}
	same("/weighing", "answers", answers)
	var f fillRequest
	if err := ballast.DecodeInto(bytes.NewReader(body(t, "/fill")), &f); err != nil {
		t.Fatal(err)
	}
	var got fillAnswers
	if err := json.Unmarshal(post(t, url+"/fill", body(t, "/fill")).body, &got); err != nil {
		t.Fatal(err)
	}
	for i, one := range f.Fills {
		want, err := one.Solve()
		if err != nil || got.Answers[i].Filled != want || len(got.Answers[i].Steps) == 0 || len(got.Answers[i].Cautions) == 0 {
			t.Errorf("fill %d: %v, got %v, want %v", i, err, got.Answers[i], want)
		}
	}
}

// The further operations end when the client goes away or their time is over.
func TestFurtherStop(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	for _, path := range further {
		for _, op := range operations {
			if op.path != path {
				continue
			}
			if a, bad := op.answer(ctx, body(t, path)); bad == nil || bad.Status != http.StatusServiceUnavailable {
				t.Errorf("%s: %v, %+v", path, a, bad)
			}
		}
	}
}

func TestGoldenProblem(t *testing.T) {
	url, _, _ := start(t, defaultLimits)
	in := edit(t, `"wheelbase": "1.95 m"`, `"wheelbase": "-1.95 m", "color": "red"`)
	in = bytes.Replace(in, []byte(`"rearTrack": "1.45 m"`), []byte(`"rearTrack": "1.45"`), 1)
	got := post(t, url+"/usable-load", in)
	var pretty bytes.Buffer
	if err := json.Indent(&pretty, got.body, "", "\t"); err != nil {
		t.Fatal(err)
	}
	path := filepath.Join("testdata", "problem.json")
	if *update {
		if err := os.WriteFile(path, pretty.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(want, pretty.Bytes()) {
		t.Errorf("got %s", pretty.Bytes())
	}
}

// Under a load of valid and hostile requests from several clients, bounded in
// count and time, every response is an answer or a problem, the valid ones
// are all alike, and at the end nothing is left running.
func TestMixedLoad(t *testing.T) {
	before := runtime.NumGoroutine()
	lim := defaultLimits
	url, log, stop := start(t, lim)
	const clients = 8
	each := 60
	if testing.Short() {
		each = 15
	}
	bad := hostile(t)
	good := body(t, "/usable-load")
	want := post(t, url+"/usable-load", good).body
	others, wants := map[string][]byte{}, map[string][]byte{}
	worse := map[string][]struct {
		name   string
		body   []byte
		status int
		path   string
	}{}
	for _, path := range further {
		others[path], worse[path] = body(t, path), spoiled(t, path)
		wants[path] = post(t, url+path, others[path]).body
	}
	http.DefaultClient.CloseIdleConnections()
	address := strings.TrimPrefix(url, "http://")
	deadline := time.Now().Add(2 * time.Minute)
	var all sync.WaitGroup
	for i := range clients {
		all.Add(1)
		go func() {
			defer all.Done()
			transport := &http.Transport{}
			defer transport.CloseIdleConnections()
			c := &http.Client{Transport: transport, Timeout: time.Minute}
			r := rand.New(rand.NewPCG(uint64(i), 7))
			for range each {
				if time.Now().After(deadline) {
					t.Error("the load did not end in time")
					return
				}
				switch r.IntN(4) {
				case 0:
					path := further[r.IntN(len(further))]
					if got := send(t, c, "POST", url+path, "application/json", others[path]); got.status != 200 || !bytes.Equal(got.body, wants[path]) {
						t.Errorf("valid %s: status %d, %.200s", path, got.status, got.body)
					}
				case 1:
					if got := send(t, c, "POST", url+"/usable-load", "application/json", good); got.status != 200 || !bytes.Equal(got.body, want) {
						t.Errorf("valid: status %d, %.200s", got.status, got.body)
					}
				case 2:
					if r.IntN(2) == 0 {
						path := further[r.IntN(len(further))]
						h := worse[path][r.IntN(len(worse[path]))]
						if h.status == 413 {
							h = worse[path][0]
						}
						if got := send(t, c, "POST", url+path, "application/json", h.body); got.status != h.status {
							t.Errorf("%s %.60s: status %d, want %d", path, h.name, got.status, h.status)
						}
						continue
					}
					h := bad[r.IntN(len(bad))]
					if h.status == 413 {
						// The server may hang up on a body that it will not read.
						h = bad[0]
					}
					if got := send(t, c, "POST", url+operations[r.IntN(2)].path, "application/json", h.body); got.status != h.status {
						t.Errorf("%s: status %d, want %d", h.name, got.status, h.status)
					}
				case 3:
					// What is no HTTP at all, or ends in the middle of it.
					conn, err := net.Dial("tcp", address)
					if err != nil {
						t.Error(err)
						return
					}
					raw := []string{"\x16\x03\x01\x02\x00", "GET", "POST /check HTTP/1.1\r\nHost: localhost\r\nContent-Type: application/json\r\nContent-Length: 5000\r\n\r\n{\"ver",
						"POST /check HTTP/1.1\r\nHost: localhost\r\nTransfer-Encoding: chunked\r\nContent-Type: application/json\r\n\r\nZZ\r\n", "GET /health HTTP/9.9\r\n\r\n",
						"GET / HTTP/1.1\r\nHost: localhost\r\nX: " + strings.Repeat("y", 40000) + "\r\n\r\n"}
					conn.SetDeadline(time.Now().Add(10 * time.Second))
					io.WriteString(conn, raw[r.IntN(len(raw))])
					conn.Close()
				}
			}
		}()
	}
	all.Wait()
	if err := stop(); err != nil {
		t.Errorf("stop: %v", err)
	}
	if strings.Contains(log.String(), `"panic"`) {
		t.Errorf("a panic: %s", log)
	}
	for range 200 {
		if runtime.NumGoroutine() <= before {
			break
		}
		time.Sleep(20 * time.Millisecond)
	}
	if n := runtime.NumGoroutine(); n > before {
		stacks := make([]byte, 1<<20)
		t.Errorf("%d goroutines, %d before: %s", n, before, stacks[:runtime.Stack(stacks, true)])
	}
}

// Nothing that a caller sends is in the log.
func TestLogHoldsNoData(t *testing.T) {
	url, log, stop := start(t, defaultLimits)
	const mark = "zebra7"
	in := edit(t, `"name": "`, `"name": "`+mark)
	post(t, url+"/usable-load", in)
	post(t, url+"/usable-load?q="+mark, edit(t, `"wheelbase": "1.95 m"`, `"`+mark+`": "`+mark+`"`))
	post(t, url+"/"+mark, in)
	r, _ := http.NewRequest(strings.ToUpper(mark), url+"/check", nil)
	r.Header.Set("X-"+mark, mark)
	if got, err := http.DefaultClient.Do(r); err == nil {
		got.Body.Close()
	}
	http.DefaultClient.CloseIdleConnections()
	stop()
	text := log.String()
	if strings.Contains(strings.ToLower(text), mark) {
		t.Errorf("the log holds data: %s", text)
	}
	lines := strings.Split(strings.TrimSpace(text), "\n")
	requests := 0
	for _, l := range lines {
		var entry struct {
			Msg, Route string
			Status     int
		}
		if err := json.Unmarshal([]byte(l), &entry); err != nil {
			t.Errorf("%q: %v", l, err)
		}
		if entry.Msg == "request" {
			requests++
			if entry.Route == "" || entry.Status == 0 {
				t.Errorf("%q says too little", l)
			}
		}
	}
	if requests != 4 {
		t.Errorf("%d requests in the log", requests)
	}
}

// A panic, should there be one, becomes a problem that says nothing of it, and
// a line in the log that says where and not with what.
func TestPanicIsContained(t *testing.T) {
	log := &logs{}
	mux := http.NewServeMux()
	mux.HandleFunc("/boom/", func(http.ResponseWriter, *http.Request) { panic("zebra7") })
	w := httptest.NewRecorder()
	guarded(mux, mux, slog.New(slog.NewJSONHandler(log, nil))).ServeHTTP(w, httptest.NewRequest("POST", "/boom/zebra7", nil))
	p := problemOf(t, response{w.Code, w.Header().Get("Content-Type"), w.Header(), w.Body.Bytes()})
	if p.Status != 500 || strings.Contains(w.Body.String(), "zebra7") {
		t.Errorf("%d %s", p.Status, w.Body)
	}
	text := log.String()
	if !strings.Contains(text, `"panic"`) || !strings.Contains(text, "server_test.go") || strings.Contains(text, "zebra7") {
		t.Errorf("log: %s", text)
	}
}

// A problem repeats no more than the start of a bad value.
func TestProblemIsBounded(t *testing.T) {
	p := invalid(&units.FieldError{Path: "p", Value: strings.Repeat("é", 5000), Want: "w"})
	if v := p.Errors[0].Value; len(v) > maxValue+3 || !utf8.ValidString(v) {
		t.Errorf("%d bytes: %q", len(v), v)
	}
}

// blocking is an answer that says when it has begun, and ends with release.
func blocking(result any) (answer, chan struct{}, chan struct{}) {
	begun, release := make(chan struct{}, 100), make(chan struct{})
	return func(ctx context.Context, _ []byte) (any, *problem) {
		begun <- struct{}{}
		select {
		case <-release:
			return result, nil
		case <-ctx.Done():
			return nil, newProblem(http.StatusServiceUnavailable, "")
		}
	}, begun, release
}

// With all places taken a request is turned away, not queued.
func TestBusy(t *testing.T) {
	lim := defaultLimits
	lim.busy = 1
	f, begun, release := blocking("done")
	srv := httptest.NewServer(lim.operation(f))
	defer srv.Close()
	first := make(chan int, 1)
	go func() { first <- post(t, srv.URL, []byte("{}")).status }()
	<-begun
	got := post(t, srv.URL, []byte("{}"))
	problemOf(t, got)
	if got.status != 503 || got.header.Get("Retry-After") == "" {
		t.Errorf("status %d, Retry-After %q", got.status, got.header.Get("Retry-After"))
	}
	close(release)
	if s := <-first; s != 200 {
		t.Errorf("the first request: status %d", s)
	}
}

// dial opens a connection to a server and sends text.
func dial(t testing.TB, url, text string) net.Conn {
	t.Helper()
	conn, err := net.Dial("tcp", strings.TrimPrefix(url, "http://"))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { conn.Close() })
	conn.SetDeadline(time.Now().Add(30 * time.Second))
	if _, err := io.WriteString(conn, text); err != nil {
		t.Fatal(err)
	}
	return conn
}

// Clients that send their bodies slowly, as many as there are places, keep
// nobody out: a place is taken when the body is there.
func TestSlowBodiesTakeNoPlace(t *testing.T) {
	url, _, _ := start(t, defaultLimits)
	for range defaultLimits.busy {
		conn := dial(t, url, "POST /check HTTP/1.1\r\nHost: localhost\r\nContent-Type: application/json\r\nExpect: 100-continue\r\nContent-Length: 5000\r\n\r\n")
		// The handler has the request once it asks for the body.
		if line, err := bufio.NewReader(conn).ReadString('\n'); err != nil || !strings.Contains(line, "100 Continue") {
			t.Fatal(line, err)
		}
		io.WriteString(conn, "{")
	}
	if got := post(t, url+"/check", body(t, "/check")); got.status != 200 {
		t.Errorf("status %d with %d slow bodies: %s", got.status, defaultLimits.busy, got.body)
	}
}

// A client that does not receive its answer keeps nobody out either.
func TestSlowReaderTakesNoPlace(t *testing.T) {
	lim := defaultLimits
	lim.busy = 1
	f, begun, release := blocking(strings.Repeat("x", 16<<20)) // more than the buffers of a connection
	close(release)
	srv := httptest.NewServer(lim.operation(f))
	defer srv.CloseClientConnections()
	const request = "POST / HTTP/1.1\r\nHost: localhost\r\nContent-Type: application/json\r\nContent-Length: 2\r\n\r\n{}"
	conn := dial(t, srv.URL, request)
	<-begun
	// Its first bytes show that the answer is being written.
	if _, err := io.ReadFull(conn, make([]byte, 20)); err != nil {
		t.Fatal(err)
	}
	head := make([]byte, 12)
	if _, err := io.ReadFull(dial(t, srv.URL, request), head); err != nil || string(head) != "HTTP/1.1 200" {
		t.Errorf("%q, %v", head, err)
	}
}

// When its client goes away the work on an answer ends.
func TestClientGoesAway(t *testing.T) {
	gone := make(chan error, 1)
	begun := make(chan struct{})
	srv := httptest.NewServer(defaultLimits.operation(func(ctx context.Context, _ []byte) (any, *problem) {
		close(begun)
		<-ctx.Done()
		gone <- ctx.Err()
		return nil, newProblem(http.StatusServiceUnavailable, "")
	}))
	defer srv.Close()
	conn := dial(t, srv.URL, "POST / HTTP/1.1\r\nHost: localhost\r\nContent-Type: application/json\r\nContent-Length: 2\r\n\r\n{}")
	<-begun
	conn.Close()
	if err := <-gone; !errors.Is(err, context.Canceled) {
		t.Error(err)
	}
}

// countdown is a context that is canceled when it has been looked at so often.
type countdown struct {
	context.Context
	looks int
}

func (c *countdown) Err() error {
	if c.looks--; c.looks < 0 {
		return context.Canceled
	}
	return nil
}

// Loads by height are given up between their cells when the client goes away.
func TestChartStops(t *testing.T) {
	var q heightsRequest
	if err := ballast.DecodeInto(bytes.NewReader(body(t, "/loads-by-height")), &q); err != nil {
		t.Fatal(err)
	}
	cells := len(q.Heights) * len(q.Centers)
	for _, looks := range []int{0, 1, cells - 1} {
		if _, err := loadsByHeight(&countdown{context.Background(), looks}, &q); !errors.Is(err, context.Canceled) {
			t.Errorf("canceled after %d of %d cells: %v", looks, cells, err)
		}
	}
}

// A connection beyond the bound is told so, and is taken when another ends.
func TestConnectionsAreBounded(t *testing.T) {
	lim := defaultLimits
	lim.connections = 2
	url, _, _ := start(t, lim)
	const request = "GET /health HTTP/1.1\r\nHost: localhost\r\n\r\n"
	answer := func(conn net.Conn) *http.Response {
		r, err := http.ReadResponse(bufio.NewReader(conn), nil)
		if err != nil {
			t.Fatal(err)
		}
		return r
	}
	held := []net.Conn{dial(t, url, request), dial(t, url, request)}
	for _, c := range held {
		if r := answer(c); r.StatusCode != 200 {
			t.Fatalf("status %d", r.StatusCode)
		}
	}
	r := answer(dial(t, url, ""))
	text, _ := io.ReadAll(r.Body)
	problemOf(t, response{r.StatusCode, r.Header.Get("Content-Type"), r.Header, text})
	if r.StatusCode != 503 || !strings.Contains(string(text), "connections") {
		t.Errorf("status %d, %s", r.StatusCode, text)
	}
	held[0].Close()
	for range 500 {
		if answer(dial(t, url, request)).StatusCode == 200 {
			return
		}
		time.Sleep(10 * time.Millisecond)
	}
	t.Error("the place of a closed connection stays taken")
}

// A connection that sends no header, or no next request, is closed.
func TestSilentConnections(t *testing.T) {
	lim := defaultLimits
	lim.header, lim.read, lim.idle = 100*time.Millisecond, time.Minute, 100*time.Millisecond
	url, _, _ := start(t, lim)
	for _, text := range []string{"", "GET /hea", "GET /health HTTP/1.1\r\nHost: localhost\r\n\r\n"} {
		conn := dial(t, url, text)
		conn.SetDeadline(time.Now().Add(8 * time.Second))
		if _, err := io.ReadAll(conn); err != nil {
			t.Errorf("%q: %v", text, err)
		}
	}
}

// Only a request that names this host is answered. The foreign names stand
// for those that a page has resolved to the loopback.
func TestForeignHosts(t *testing.T) {
	url, _, _ := start(t, defaultLimits)
	for host, want := range map[string]int{
		"localhost": 200, "LocalHost:1": 200, "127.0.0.1": 200, "127.8.9.1:80": 200, "[::1]:8080": 200, "[::1]": 200,
		"evil.example": 421, "evil.example:8080": 421, "localhost.evil.example": 421, "127.0.0.1.evil.example": 421,
		"10.0.0.1": 421, "0.0.0.0": 421, "": 421, "localhost:80:80": 421,
	} {
		// HTTP/1.0 lets the header be empty.
		for _, path := range []string{"/health", "/openapi.json", "/nosuch"} {
			r, err := http.ReadResponse(bufio.NewReader(dial(t, url, "GET "+path+" HTTP/1.0\r\nHost: "+host+"\r\n\r\n")), nil)
			if err != nil {
				t.Fatal(err)
			}
			text, _ := io.ReadAll(r.Body)
			if refused := r.StatusCode == 421; refused != (want == 421) {
				t.Errorf("%s of host %q: status %d", path, host, r.StatusCode)
			} else if refused {
				problemOf(t, response{r.StatusCode, r.Header.Get("Content-Type"), r.Header, text})
			}
		}
	}
	at := func(ip string) net.Addr { return &net.TCPAddr{IP: net.ParseIP(ip), Port: 8080} }
	for _, c := range []struct {
		header, name string
		local        net.Addr
		want         bool
	}{
		{"192.0.2.7:8080", "0.0.0.0", at("192.0.2.7"), true},
		{"192.0.2.8:8080", "0.0.0.0", at("192.0.2.7"), false},
		{"[2001:db8::7]:8080", "", at("2001:db8::7"), true},
		{"192.0.2.7", "", at("::ffff:192.0.2.7"), true},
		{"Yard.Example:8080", "yard.example", at("192.0.2.7"), true},
		{"192.0.2.7", "", nil, false},
		{"", "", nil, false},
	} {
		if got := ownHost(c.header, c.name, c.local); got != c.want {
			t.Errorf("%q, listening on %q, arrived at %v: %v", c.header, c.name, c.local, got)
		}
	}
}

// A body that is not framed as HTTP says is the client's mistake, not a late
// one; so is one that ends too early.
func TestBadFraming(t *testing.T) {
	url, _, _ := start(t, defaultLimits)
	const head = "POST /check HTTP/1.1\r\nHost: localhost\r\nContent-Type: application/json\r\n"
	for _, text := range []string{
		head + "Transfer-Encoding: chunked\r\n\r\nZZ\r\n",
		head + "Transfer-Encoding: chunked\r\n\r\n2\r\n{}}}}}\r\n0\r\n\r\n",
		head + "Content-Length: 50\r\n\r\n{",
	} {
		conn := dial(t, url, text)
		conn.(*net.TCPConn).CloseWrite()
		r, err := http.ReadResponse(bufio.NewReader(conn), nil)
		if err != nil {
			t.Fatal(err)
		}
		if r.StatusCode != http.StatusBadRequest {
			t.Errorf("%q: status %d", text[len(head):], r.StatusCode)
		}
	}
}

// What is hidden in a name is escaped in an answer, and is still the name.
func TestAnswersAreVisible(t *testing.T) {
	url, _, _ := start(t, defaultLimits)
	in := edit(t, `"lifts": [`, `"lifts": [{"name": "a\u009b2K\u202e", "nosuch\u009b": 1},`)
	if got := post(t, url+"/check", in); got.status != 422 || bytes.ContainsAny(got.body, "\u009b\u202e") {
		t.Errorf("%d %q", got.status, got.body)
	}
	w := httptest.NewRecorder()
	writeJSON(w, 200, "application/json", "a\u009b2K\u202e")
	var v string
	if err := json.Unmarshal(w.Body.Bytes(), &v); err != nil || v != "a\u009b2K\u202e" || bytes.ContainsAny(w.Body.Bytes(), "\u009b\u202e") {
		t.Errorf("%q: %q, %v", w.Body, v, err)
	}
}

// A body that does not arrive in time is given up.
func TestSlowBody(t *testing.T) {
	lim := defaultLimits
	lim.read = 300 * time.Millisecond
	url, _, _ := start(t, lim)
	conn, err := net.Dial("tcp", strings.TrimPrefix(url, "http://"))
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close()
	conn.SetDeadline(time.Now().Add(30 * time.Second))
	io.WriteString(conn, "POST /check HTTP/1.1\r\nHost: localhost\r\nContent-Type: application/json\r\nContent-Length: 100\r\n\r\n{")
	got, err := http.ReadResponse(bufio.NewReader(conn), nil)
	if err != nil {
		t.Fatal(err)
	}
	defer got.Body.Close()
	if got.StatusCode != http.StatusRequestTimeout {
		t.Errorf("status %d", got.StatusCode)
	}
}

// A request that was begun before the stop is answered.
func TestGracefulStop(t *testing.T) {
	url, _, stop := start(t, defaultLimits)
	in := body(t, "/usable-load")
	conn, err := net.Dial("tcp", strings.TrimPrefix(url, "http://"))
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close()
	conn.SetDeadline(time.Now().Add(30 * time.Second))
	fmt.Fprintf(conn, "POST /usable-load HTTP/1.1\r\nHost: localhost\r\nContent-Type: application/json\r\nExpect: 100-continue\r\nContent-Length: %d\r\n\r\n", len(in))
	// The handler has the request once it asks for the body.
	r := bufio.NewReader(conn)
	if line, err := r.ReadString('\n'); err != nil || !strings.Contains(line, "100 Continue") {
		t.Fatal(line, err)
	}
	stopped := make(chan error, 1)
	go func() { stopped <- stop() }()
	for range 500 {
		c, err := net.Dial("tcp", strings.TrimPrefix(url, "http://"))
		if err != nil {
			break // nobody listens any more
		}
		c.Close()
		time.Sleep(10 * time.Millisecond)
	}
	conn.Write(in)
	r.ReadString('\n') // the rest of "100 Continue"
	got, err := http.ReadResponse(r, nil)
	if err != nil {
		t.Fatal(err)
	}
	data, err := io.ReadAll(got.Body)
	got.Body.Close()
	if got.StatusCode != 200 || err != nil || !json.Valid(data) {
		t.Errorf("status %d, %v", got.StatusCode, err)
	}
	if err := <-stopped; err != nil {
		t.Errorf("stop: %v", err)
	}
}

func program(args ...string) *exec.Cmd {
	cmd := exec.Command(os.Args[0], args...)
	cmd.Env = append(os.Environ(), "BE_FIELDSERVER=1")
	return cmd
}

// The program says where it listens, and SIGTERM and Ctrl-C end it well.
func TestProgram(t *testing.T) {
	for _, sig := range []os.Signal{syscall.SIGTERM, os.Interrupt} {
		cmd := program("-address", "127.0.0.1:0")
		stderr, err := cmd.StderrPipe()
		if err != nil {
			t.Fatal(err)
		}
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		lines := bufio.NewScanner(stderr)
		var entry struct{ Msg, Address string }
		if !lines.Scan() || json.Unmarshal(lines.Bytes(), &entry) != nil || entry.Msg != "listening" {
			t.Fatalf("first line: %s", lines.Text())
		}
		if got := send(t, http.DefaultClient, "GET", "http://"+entry.Address+"/health", "", nil); got.status != 200 {
			t.Errorf("health: %d", got.status)
		}
		http.DefaultClient.CloseIdleConnections()
		if err := cmd.Process.Signal(sig); err != nil {
			t.Fatal(err)
		}
		last := ""
		for lines.Scan() {
			last = lines.Text()
		}
		if err := cmd.Wait(); err != nil || !strings.Contains(last, `"stopped"`) {
			t.Errorf("%v: %v, last line %s", sig, err, last)
		}
	}
}

func TestWrongUse(t *testing.T) {
	taken, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer taken.Close()
	for _, c := range []struct {
		args []string
		code int
		want string
	}{
		{[]string{"-nosuch"}, 2, "flag provided but not defined"},
		{[]string{"x"}, 2, "takes flags only"},
		{[]string{"-max-body", "0"}, 2, "-max-body 0: must be"},
		{[]string{"-read-timeout", "-1s"}, 2, "must be positive"},
		{[]string{"-max-busy", "0"}, 2, "-max-busy 0: must be"},
		{[]string{"-max-connections", "0"}, 2, "-max-connections 0: must be"},
		{[]string{"-idle-timeout", "0s"}, 2, "must be positive"},
		{[]string{"-address", taken.Addr().String()}, 1, "address already in use"},
		{[]string{"-address", "nowhere"}, 1, "missing port"},
	} {
		cmd := program(c.args...)
		out, err := cmd.CombinedOutput()
		var exit *exec.ExitError
		if !errors.As(err, &exit) || exit.ExitCode() != c.code || !strings.Contains(string(out), c.want) {
			t.Errorf("%q: %v, %s", c.args, err, out)
		}
	}
}

// FuzzBody asks every operation with any body at all.
func FuzzBody(f *testing.F) {
	for _, op := range operations {
		f.Add(body(f, op.path))
	}
	for _, h := range hostile(f) {
		if len(h.body) < 10000 {
			f.Add(h.body)
		}
	}
	f.Fuzz(func(t *testing.T, in []byte) {
		for _, op := range operations {
			a, bad := op.answer(context.Background(), in)
			if bad == nil {
				if _, err := json.Marshal(a); err != nil {
					t.Errorf("%s: an answer that cannot be written: %v", op.path, err)
				}
				continue
			}
			if bad.Status != 400 && bad.Status != 422 || len(bad.Errors) == 0 {
				t.Errorf("%s: %+v", op.path, bad)
			}
		}
	})
}

// BenchmarkLatency asks for the usable load over one connection and reports
// the median and the 99th percentile of the time to the whole answer.
func BenchmarkLatency(b *testing.B) {
	url, _, _ := start(b, defaultLimits)
	in := body(b, "/usable-load")
	var took []time.Duration
	for b.Loop() {
		begin := time.Now()
		if got := post(b, url+"/usable-load", in); got.status != 200 {
			b.Fatal(got.status)
		}
		took = append(took, time.Since(begin))
	}
	slices.Sort(took)
	b.ReportMetric(float64(took[len(took)/2].Microseconds()), "p50-us")
	b.ReportMetric(float64(took[len(took)*99/100].Microseconds()), "p99-us")
}
