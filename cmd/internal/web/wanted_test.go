package web

import (
	"context"
	"fmt"
	"io"
	"net/http"
	"net/url"
	"strings"
	"testing"

	"emberquilt/cmd/internal/app"
)

// TestWantedPapers asks for papers of something, with what is refused.
func TestWantedPapers(t *testing.T) {
	o := options(t, demoProperty(t, t.TempDir()))
	o.Wanted = WritePapers{
		Sheet: func(ctx context.Context, w io.Writer, file string, s *app.Session, o app.SheetOptions) error {
			c, _, err := s.Sheet(ctx, o)
			if err == nil {
				_, err = fmt.Fprintf(w, "%s: season %d, on %s, wind %v", file, c.Due.Year, o.On, o.Wind != nil)
			}
			return err
		},
		Draft: func(ctx context.Context, w io.Writer, file string, s *app.Session, o app.DraftOptions) error {
			draft, err := s.Draft(ctx, o)
			if err == nil {
				_, err = fmt.Fprintf(w, "%s: %s, wind %v", file, draft.Unit, o.Wind != nil)
			}
			return err
		},
		Field: func(_ context.Context, w io.Writer, file string, _ *app.Session) error {
			_, err := fmt.Fprint(w, file)
			return err
		},
		Units: func(_ context.Context, w io.Writer, file string, _ *app.Session) error {
			_, err := fmt.Fprint(w, file)
			return err
		},
		Packet: func(ctx context.Context, w io.Writer, file string, s *app.Session, contract string) error {
			p, err := s.Packet(ctx, contract)
			if err == nil {
				_, err = fmt.Fprintf(w, "%s: %s of %s, as of %t", file, p.Contract, s.Today, p.Stamp.AsOf != "")
			}
			return err
		},
	}
	r := start(t, o)
	const named = "Native grass contract 1"
	contract := url.QueryEscape(named)
	for _, c := range []struct {
		path   string
		status int
		says   string
	}{
		{"sheet", http.StatusOK, "season-sheet.pdf: season 2027, on , wind false"},
		{"sheet?as=html&on=2026-12-01&wind=NNW", http.StatusOK, "season-sheet.html: season 2027, on 2026-12-01, wind true"},
		{"sheet?season=dormant", http.StatusOK, "season-sheet.pdf"},
		{"sheet?season=monsoon", http.StatusBadRequest, "monsoon"},
		{"sheet?wind=up", http.StatusBadRequest, `"field":"wind"`},
		{"sheet?on=tomorrow", http.StatusBadRequest, "is not a date"},
		{"sheet?as=exe", http.StatusBadRequest, `"field":"as"`},
		{"draft?unit=Gate+Three&wind=340", http.StatusOK, "burn-plan-draft.pdf: Gate Three, wind true"},
		{"field", http.StatusOK, "field-map.pdf"},
		{"field?as=kmz", http.StatusOK, "field-map.kmz"},
		{"field?as=html", http.StatusBadRequest, `"field":"as"`},
		{"units", http.StatusOK, "units.gpkg"},
		{"units?as=zip", http.StatusOK, "units.zip"},
		{"units?as=exe", http.StatusBadRequest, `"field":"as"`},
		{"packet", http.StatusBadRequest, `"field":"contract"`},
		{"packet?contract=Nowhere", http.StatusBadRequest, "there is no contract"},
		{"packet?contract=" + contract, http.StatusOK, "packet.pdf: " + named + " of 2026-11-25, as of false"},
		{"packet?as=xlsx&as-of=1&contract=" + contract, http.StatusBadRequest, "there is no contract"},
		{"packet?as=xlsx&as-of=2026-11-25&contract=" + contract, http.StatusOK, "packet-as-of.xlsx: " + named + " of 2026-11-25, as of true"},
		{"packet?as-of=2031-01-01&contract=" + contract, http.StatusBadRequest, `"field":"as-of"`},
		{"packet?as-of=then&contract=" + contract, http.StatusBadRequest, "is neither a change nor a date"},
		{"draft?unit=Gate+Nowhere", http.StatusUnprocessableEntity, "Gate Nowhere"},
		{"draft?unit=Gate+Three&year=next", http.StatusBadRequest, "is not a whole number"},
		{"draft?unit=Gate+Three&as=txt", http.StatusBadRequest, `"field":"as"`},
	} {
		a := r.get("/api/p/nine-gate/wanted/" + c.path)
		if a.StatusCode != c.status || !strings.Contains(a.text, c.says) {
			t.Errorf("%s: %d %s", c.path, a.StatusCode, a.text)
		}
		if name := a.Header.Get("Content-Disposition"); (a.StatusCode == http.StatusOK) != strings.Contains(name, "nine-gate-") {
			t.Errorf("%s: it is named %s", c.path, name)
		}
	}
}

// TestHowAUnitIsBurnedOnThePage keeps interior lines with a unit, and takes them away.
func TestHowAUnitIsBurnedOnThePage(t *testing.T) {
	r := start(t, options(t, demoProperty(t, t.TempDir())))
	const unit = "Gate Three"
	lines := func() string {
		a := r.get("/api/p/nine-gate/card?unit=Gate+Three")
		if a.StatusCode != http.StatusOK {
			t.Fatal(a.text)
		}
		return a.text
	}
	before := lines()
	for _, c := range []struct {
		body   string
		status int
		says   string
	}{
		{`{"unit": "", "lines": "4"}`, http.StatusBadRequest, `"field":"unit"`},
		{`{"unit": "Gate Nowhere", "lines": "4"}`, http.StatusUnprocessableEntity, "Gate Nowhere"},
		{`{"unit": "Gate Three", "lines": "some"}`, http.StatusBadRequest, `"field":"lines"`},
		{`{"unit": "Gate Three", "lines": "4", "hours": "6"}`, http.StatusBadRequest, `"field":"hours"`},
		{`{"unit": "Gate Three", "hours": "30"}`, http.StatusBadRequest, "30 hours"},
	} {
		if a := r.post("/api/p/nine-gate/card", c.body); a.StatusCode != c.status || !strings.Contains(a.text, c.says) || lines() != before {
			t.Errorf("%s: %d %s", c.body, a.StatusCode, a.text)
		}
	}
	if a := r.post("/api/p/nine-gate/card", `{"unit": "Gate Three", "lines": "4"}`); a.StatusCode != http.StatusOK || !strings.Contains(a.text, unit) || lines() == before {
		t.Errorf("%d %s", a.StatusCode, a.text)
	}
	if a := r.post("/api/p/nine-gate/card", `{"unit": "Gate Three"}`); a.StatusCode != http.StatusOK || lines() != before {
		t.Errorf("%d %s", a.StatusCode, a.text)
	}
}
