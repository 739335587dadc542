package web

import (
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"encoding/hex"
	"io/fs"
	"strings"
	"testing"
)

// keptSHA256 are the files of lit-html 3.3.3, the reactive library of the page, as
// npm's package holds them; its license lies beside them.
var keptSHA256 = map[string]string{
	"lit-html.js":          "b878e7f95dec8a9b6e9b217faca6b6a11bad82ebc44c0caa77419ed83edd81f2",
	"directive.js":         "3344c4f41c69cd0701d3937e8f9ef90bd845614bf6456d0b8314b7c51d415b9d",
	"directive-helpers.js": "f7fb1154b8f72ed2cc08b05eaeed71c99270e9ad2d48620ed24688a1af4c2b62",
	"directives/live.js":   "b305f9066319d838db797abd5a4d871537277e25f35332702bfce4452c020ecf",
	"directives/repeat.js": "083140026ecd8665fedd15b17769f9d516252a9f1502f1e91e6967686ee82626",
	"LICENSE":              "2b66f9390afde29edfe4314daff93f01fb182e1178053e228120178987e5db75",
}

func TestKeptLibraryIsUnchanged(t *testing.T) {
	found := 0
	err := fs.WalkDir(static, "static/lit-html", func(path string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() {
			return err
		}
		text, err := static.ReadFile(path)
		if err != nil {
			return err
		}
		name := strings.TrimPrefix(path, "static/lit-html/")
		sum := sha256.Sum256(text)
		if hex.EncodeToString(sum[:]) != keptSHA256[name] {
			t.Errorf("%s is not the file of the npm package", name)
		}
		found++
		return nil
	})
	if err != nil || found != len(keptSHA256) {
		t.Errorf("%d of %d files are there: %v", found, len(keptSHA256), err)
	}
}

// TestPageCodeIsSmall holds what a browser fetches, beside the chart library, to its
// size.
func TestPageCodeIsSmall(t *testing.T) {
	const most = 150_000
	var b bytes.Buffer
	err := fs.WalkDir(static, "static", func(path string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() {
			return err
		}
		text, err := static.ReadFile(path)
		if err != nil {
			return err
		}
		z := gzip.NewWriter(&b)
		z.Write(text)
		return z.Close()
	})
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("%d bytes compressed", b.Len())
	if b.Len() > most {
		t.Errorf("the page's code is %d bytes compressed; at most %d", b.Len(), most)
	}
}

// TestNoMarkupIsMadeOfText holds the page's own code to templates, in which every
// value is text.
func TestNoMarkupIsMadeOfText(t *testing.T) {
	forbidden := []string{"innerHTML", "outerHTML", "insertAdjacentHTML", "document.write", "unsafeHTML", "unsafeSVG", "eval(", "new Function", "javascript:", "http://", "https://"}
	err := fs.WalkDir(static, "static", func(path string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() || strings.HasPrefix(path, "static/lit-html/") || strings.HasSuffix(path, ".svg") {
			return err
		}
		text, err := static.ReadFile(path)
		if err != nil {
			return err
		}
		for _, bad := range forbidden {
			if bytes.Contains(text, []byte(bad)) {
				t.Errorf("%s has %s", path, bad)
			}
		}
		if strings.HasSuffix(path, ".html") {
			for _, bad := range []string{"<style", " style=", "<script>", " onclick", " onload", " onerror"} {
				if bytes.Contains(text, []byte(bad)) {
					t.Errorf("%s has %s, which the policy refuses", path, bad)
				}
			}
		}
		return nil
	})
	if err != nil {
		t.Error(err)
	}
}
