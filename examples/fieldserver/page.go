package main

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"net/http"
	"os"
	"path/filepath"
	"time"
)

// pageName is the page for phones as it lies beside the program in a release.
const pageName = "yard.html"

// maxPage is the largest page, in bytes.
const maxPage = 32 << 20

// readPage reads the page for phones that the program yard wrote: the file that is named, or the one
// beside this program if there is one.
func readPage(file string) ([]byte, error) {
	if file == "" {
		program, err := os.Executable()
		if err != nil {
			return nil, nil
		}
		file = filepath.Join(filepath.Dir(program), pageName)
		if _, err := os.Stat(file); errors.Is(err, os.ErrNotExist) {
			return nil, nil
		}
	}
	f, err := os.Open(file)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	page, err := io.ReadAll(io.LimitReader(f, maxPage+1))
	if err != nil {
		return nil, err
	}
	if len(page) > maxPage || !bytes.HasPrefix(page, []byte("<!doctype html>")) || !bytes.Contains(page, []byte("Content-Security-Policy")) {
		return nil, fmt.Errorf("%s: must be the page that the program yard writes", file)
	}
	return page, nil
}

// servePage answers with the page for phones. What the page may do stands in the page; nobody frames
// it.
func servePage(page []byte) func(http.ResponseWriter, *http.Request) {
	sum := sha256.Sum256(page)
	tag := `"` + hex.EncodeToString(sum[:16]) + `"`
	return func(w http.ResponseWriter, r *http.Request) {
		if page == nil {
			newProblem(http.StatusNotFound, "this service was started without the page: see its flag -page").write(w)
			return
		}
		// The page has some megabytes, and a phone in a yard may be slow.
		http.NewResponseController(w).SetWriteDeadline(time.Now().Add(5 * time.Minute))
		h := w.Header()
		h.Set("Content-Type", "text/html; charset=utf-8")
		h.Set("Content-Security-Policy", "frame-ancestors 'none'")
		h.Set("Referrer-Policy", "no-referrer")
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Cache-Control", "no-cache")
		h.Set("ETag", tag)
		http.ServeContent(w, r, "", time.Time{}, bytes.NewReader(page))
	}
}
