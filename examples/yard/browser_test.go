package main

import (
	"context"
	"encoding/base64"
	"fmt"
	"os"
	"path/filepath"
	"sync"
	"testing"

	"example.com/steelyard/examples/yard/build"
)

// made is the page, built once for all tests.
var made = sync.OnceValues(func() ([]byte, error) { return build.Page(context.Background(), "") })

// opened opens the page from a file, as on a phone without a network.
func opened(t testing.TB) *chromium {
	t.Helper()
	b := launch(t)
	page, err := made()
	if err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(t.TempDir(), "yard.html")
	if err := os.WriteFile(file, page, 0o644); err != nil {
		t.Fatal(err)
	}
	b.call("Network.emulateNetworkConditions", map[string]any{"offline": true, "latency": 0, "downloadThroughput": 0, "uploadThroughput": 0}, nil)
	b.size(390, 844)
	b.call("Page.navigate", map[string]any{"url": "file://" + file}, nil)
	b.until("document.documentElement.dataset.ready === 'yes'")
	return b
}

// shot writes pictures of the page, in pieces that people can look at.
func (b *chromium) shot(name string, width int) {
	b.t.Helper()
	b.size(width, 900)
	var high float64
	b.run("document.documentElement.scrollHeight", &high)
	const piece = 2200
	for i := 0; float64(i*piece) < high; i++ {
		var image struct {
			Data []byte `json:"data"`
		}
		clip := map[string]any{"x": 0, "y": i * piece, "width": width, "height": min(piece, high-float64(i*piece)), "scale": 1}
		b.call("Page.captureScreenshot", map[string]any{"format": "png", "captureBeyondViewport": true, "clip": clip}, &image)
		if err := os.WriteFile(fmt.Sprintf("%s-%02d.png", name, i), image.Data, 0o644); err != nil {
			b.t.Fatal(err)
		}
	}
}

// TestShots writes pictures of the page to the folder SHOTS, for people to look at.
func TestShots(t *testing.T) {
	dir := os.Getenv("SHOTS")
	if dir == "" {
		t.Skip("SHOTS names no folder")
	}
	b := opened(t)
	done := func() { b.until("document.documentElement.dataset.done") }
	shots := func(name string) {
		done()
		for _, w := range []int{320, 390, 768} {
			b.shot(filepath.Join(dir, fmt.Sprintf("%s-%d", name, w)), w)
		}
	}
	shots("empty")
	b.run("document.getElementById('compact').click()", nil)
	b.run("document.querySelector('#s-ground').open = true; 1", nil)
	shots("compact")
	b.run("document.getElementById('demo').click()", nil)
	b.run("for (const d of document.querySelectorAll('details.s')) d.open = true; document.getElementById('t-size').value='14.9-24'; document.getElementById('t-size').dispatchEvent(new Event('change')); document.getElementById('t-coldest').value='-15'; document.getElementById('t-coldest').dispatchEvent(new Event('change')); document.getElementById('tiredo').click(); document.getElementById('plan').click(); 1", nil)
	shots("demo")
	b.run("(s => { s.value = 'de'; s.dispatchEvent(new Event('change')); })(document.getElementById('language'))", nil)
	shots("german")
	for _, c := range b.complaints() {
		t.Error(c)
	}
	var pdf struct {
		Data string `json:"data"`
	}
	b.call("Page.printToPDF", map[string]any{"printBackground": true, "paperWidth": 8.27, "paperHeight": 11.69}, &pdf)
	data, err := base64.StdEncoding.DecodeString(pdf.Data)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(dir, "print.pdf"), data, 0o644); err != nil {
		t.Fatal(err)
	}
}
