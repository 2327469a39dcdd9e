package main

import (
	"bufio"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"strings"
	"sync"
	"testing"
	"time"
)

// A chromium is a browser that is driven over the DevTools protocol, through two pipes.
type chromium struct {
	t      testing.TB
	cmd    *exec.Cmd
	to     io.WriteCloser
	mu     sync.Mutex
	last   int
	wait   map[int]chan reply
	events []event
	ended  chan struct{}
	sid    string
	bounds time.Duration
}

type reply struct {
	Result json.RawMessage `json:"result"`
	Error  *struct {
		Message string `json:"message"`
	} `json:"error"`
}

type event struct {
	Method string          `json:"method"`
	Params json.RawMessage `json:"params"`
}

// browsers are the names under which the browser may be installed.
var browsers = []string{"chromium", "chromium-browser", "google-chrome-stable", "google-chrome", "chrome"}

// browser finds an installed browser, or skips the test; with NEED_BROWSER=1 that is a failure.
func browser(t testing.TB) string {
	t.Helper()
	for _, name := range browsers {
		if path, err := exec.LookPath(name); err == nil {
			return path
		}
	}
	unchecked(t, "no browser is installed")
	return ""
}

// unchecked skips the test; with NEED_BROWSER=1 that is a failure.
func unchecked(t testing.TB, reason string) {
	t.Helper()
	text := "NOT CHECKED: " + reason + ", so the page was not run in one"
	if os.Getenv("NEED_BROWSER") == "1" {
		t.Fatal(text)
	}
	t.Skip(text)
}

// launch starts the browser with an empty page.
func launch(t testing.TB) *chromium {
	t.Helper()
	if testing.Short() {
		t.Skip("a browser takes its time: left out of the short form")
	}
	path := browser(t)
	down, up, err := os.Pipe()
	if err != nil {
		t.Fatal(err)
	}
	back, front, err := os.Pipe()
	if err != nil {
		t.Fatal(err)
	}
	b := &chromium{t: t, to: up, wait: map[int]chan reply{}, ended: make(chan struct{}), bounds: 3 * time.Minute}
	// Its own folder is not t.TempDir: the browser may still write while that is removed.
	profile, err := os.MkdirTemp("", "yard-browser")
	if err != nil {
		t.Fatal(err)
	}
	b.cmd = exec.Command(path, "--headless=new", "--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage", "--remote-debugging-pipe",
		"--no-first-run", "--no-default-browser-check", "--disable-extensions", "--disable-background-networking", "--disable-component-update",
		"--disable-sync", "--disable-default-apps", "--mute-audio", "--hide-scrollbars", "--user-data-dir="+profile, "about:blank")
	b.cmd.ExtraFiles = []*os.File{down, front}
	var said tail
	b.cmd.Stderr = &said
	if err := b.cmd.Start(); err != nil {
		t.Fatal(err)
	}
	down.Close()
	front.Close()
	go b.read(back)
	t.Cleanup(func() {
		if t.Failed() {
			t.Logf("the browser said: %s", said.String())
		}
		up.Close()
		b.cmd.Process.Kill()
		b.cmd.Wait()
		back.Close()
		os.RemoveAll(profile)
	})
	var target struct {
		TargetID string `json:"targetId"`
	}
	if err := b.try("Target.createTarget", map[string]any{"url": "about:blank"}, &target); err != nil {
		unchecked(t, "the browser that is installed does not start ("+err.Error()+": "+said.String()+")")
	}
	var session struct {
		SessionID string `json:"sessionId"`
	}
	b.call("Target.attachToTarget", map[string]any{"targetId": target.TargetID, "flatten": true}, &session)
	b.sid = session.SessionID
	for _, domain := range []string{"Page", "Runtime", "Log", "Network"} {
		b.call(domain+".enable", nil, nil)
	}
	return b
}

// tail keeps the last that was written.
type tail struct {
	mu   sync.Mutex
	text []byte
}

func (w *tail) Write(p []byte) (int, error) {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.text = append(w.text, p...)
	if n := len(w.text); n > 4000 {
		w.text = w.text[n-4000:]
	}
	return len(p), nil
}

func (w *tail) String() string {
	w.mu.Lock()
	defer w.mu.Unlock()
	return string(w.text)
}

// read takes the messages of the browser, which end with a zero byte.
func (b *chromium) read(r io.Reader) {
	defer close(b.ended)
	in := bufio.NewReaderSize(r, 1<<20)
	for {
		text, err := in.ReadBytes(0)
		if err != nil {
			return
		}
		var m struct {
			ID int `json:"id"`
			reply
			event
		}
		if json.Unmarshal(text[:len(text)-1], &m) != nil {
			continue
		}
		b.mu.Lock()
		if m.ID != 0 {
			if c := b.wait[m.ID]; c != nil {
				delete(b.wait, m.ID)
				c <- m.reply
			}
		} else {
			b.events = append(b.events, m.event)
		}
		b.mu.Unlock()
	}
}

// try sends a command and waits for its answer.
func (b *chromium) try(method string, params any, result any) error {
	b.mu.Lock()
	b.last++
	id := b.last
	answer := make(chan reply, 1)
	b.wait[id] = answer
	b.mu.Unlock()
	if params == nil {
		params = struct{}{}
	}
	m := map[string]any{"id": id, "method": method, "params": params}
	if b.sid != "" {
		m["sessionId"] = b.sid
	}
	text, err := json.Marshal(m)
	if err != nil {
		return err
	}
	if _, err := b.to.Write(append(text, 0)); err != nil {
		return err
	}
	ctx, cancel := context.WithTimeout(context.Background(), b.bounds)
	defer cancel()
	select {
	case r := <-answer:
		if r.Error != nil {
			return errors.New(method + ": " + r.Error.Message)
		}
		if result != nil {
			return json.Unmarshal(r.Result, result)
		}
		return nil
	case <-b.ended:
		return errors.New(method + ": the browser ended")
	case <-ctx.Done():
		return errors.New(method + ": no answer in time")
	}
}

func (b *chromium) call(method string, params any, result any) {
	b.t.Helper()
	if err := b.try(method, params, result); err != nil {
		b.t.Fatal(err)
	}
}

// run evaluates an expression in the page, waits for it if it is a promise, and reads its value.
func (b *chromium) run(expression string, value any) {
	b.t.Helper()
	var out struct {
		Result struct {
			Value json.RawMessage `json:"value"`
		} `json:"result"`
		Exception *struct {
			Text      string `json:"text"`
			Exception struct {
				Description string `json:"description"`
			} `json:"exception"`
		} `json:"exceptionDetails"`
	}
	b.call("Runtime.evaluate", map[string]any{"expression": expression, "awaitPromise": true, "returnByValue": true}, &out)
	if e := out.Exception; e != nil {
		b.t.Fatalf("%.200s: %s %s", expression, e.Text, e.Exception.Description)
	}
	if value != nil {
		if err := json.Unmarshal(out.Result.Value, value); err != nil {
			b.t.Fatalf("%.200s: %v: %.200s", expression, err, out.Result.Value)
		}
	}
}

// until waits for an expression to be true.
func (b *chromium) until(expression string) {
	b.t.Helper()
	end := time.Now().Add(b.bounds)
	for {
		// While a page is being opened there may be no document to ask.
		var out struct {
			Result struct {
				Value any `json:"value"`
			} `json:"result"`
		}
		err := b.try("Runtime.evaluate", map[string]any{"expression": "!!(" + expression + ")", "returnByValue": true}, &out)
		if err == nil && out.Result.Value == true {
			return
		}
		if time.Now().After(end) {
			var text string
			b.run("document.body.innerText.slice(0, 1500)", &text)
			b.t.Fatalf("not within %v: %s\n%s", b.bounds, expression, text)
		}
		time.Sleep(20 * time.Millisecond)
	}
}

// happened returns the events of a name so far.
func (b *chromium) happened(method string) (list []json.RawMessage) {
	b.mu.Lock()
	defer b.mu.Unlock()
	for _, e := range b.events {
		if e.Method == method {
			list = append(list, e.Params)
		}
	}
	return list
}

// complaints are errors and warnings of the console, exceptions, and whatever the policy refused.
func (b *chromium) complaints() (list []string) {
	for _, e := range b.happened("Runtime.exceptionThrown") {
		list = append(list, string(e))
	}
	for _, e := range b.happened("Runtime.consoleAPICalled") {
		list = append(list, string(e))
	}
	for _, e := range b.happened("Log.entryAdded") {
		list = append(list, string(e))
	}
	return list
}

// requests are the addresses that the page asked for, without those that never leave it.
func (b *chromium) requests() (list []string) {
	for _, e := range b.happened("Network.requestWillBeSent") {
		var p struct {
			Request struct {
				URL string `json:"url"`
			} `json:"request"`
		}
		if json.Unmarshal(e, &p) == nil && !strings.HasPrefix(p.Request.URL, "data:") && p.Request.URL != "about:blank" {
			list = append(list, p.Request.URL)
		}
	}
	return list
}

// size sets the window.
func (b *chromium) size(width, height int) {
	b.t.Helper()
	b.call("Emulation.setDeviceMetricsOverride", map[string]any{"width": width, "height": height, "deviceScaleFactor": 1, "mobile": true}, nil)
}

func (b *chromium) String() string { return fmt.Sprintf("browser %d", b.cmd.Process.Pid) }
