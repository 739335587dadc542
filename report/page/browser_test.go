package page

import (
	"bufio"
	"encoding/json"
	"fmt"
	"io"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"emberquilt/habitat"
	"emberquilt/report/internal/sample"
	"emberquilt/report/view"
)

// browser is a headless Chromium that is spoken to over two pipes.
type browser struct {
	t       testing.TB
	in      io.Writer
	answers chan message
	events  []message
	next    int
	session string
}

// message is one message of the browser's debugging protocol.
type message struct {
	ID     int             `json:"id,omitempty"`
	Method string          `json:"method,omitempty"`
	Params json.RawMessage `json:"params,omitempty"`
	Result json.RawMessage `json:"result,omitempty"`
	Error  json.RawMessage `json:"error,omitempty"`
}

// openBrowser starts Chromium with an empty profile and no way to the network.
func openBrowser(t testing.TB) *browser {
	t.Helper()
	if testing.Short() {
		t.Skip("short: no browser")
	}
	var program string
	for _, name := range []string{"chromium", "chromium-browser", "google-chrome"} {
		if path, err := exec.LookPath(name); err == nil {
			program = path
			break
		}
	}
	if program == "" {
		t.Skip("no chromium on this machine: the page is not looked at in a browser")
	}
	toBrowser, in, err := os.Pipe()
	if err != nil {
		t.Fatal(err)
	}
	out, fromBrowser, err := os.Pipe()
	if err != nil {
		t.Fatal(err)
	}
	command := exec.Command(program, "--headless", "--no-sandbox", "--disable-gpu", "--no-first-run", "--user-data-dir="+t.TempDir(),
		"--host-resolver-rules=MAP * ~NOTFOUND", "--proxy-server=127.0.0.1:9", "--window-size=1280,1000", "--remote-debugging-pipe", "about:blank")
	command.ExtraFiles = []*os.File{toBrowser, fromBrowser}
	if err := command.Start(); err != nil {
		t.Fatal(err)
	}
	toBrowser.Close()
	fromBrowser.Close()
	b := &browser{t: t, in: in, answers: make(chan message, 4096)}
	go func() {
		defer close(b.answers)
		reader := bufio.NewReaderSize(out, 1<<20)
		for {
			text, err := reader.ReadBytes(0)
			if err != nil {
				return
			}
			var m message
			if json.Unmarshal(text[:len(text)-1], &m) == nil {
				b.answers <- m
			}
		}
	}()
	t.Cleanup(func() {
		in.Close()
		done := make(chan struct{})
		go func() { command.Wait(); close(done) }()
		select {
		case <-done:
		case <-time.After(5 * time.Second):
			command.Process.Kill()
			<-done
		}
		out.Close()
		time.Sleep(50 * time.Millisecond) // its children let go of the profile
	})
	var target struct{ TargetID string }
	b.call("Target.createTarget", map[string]any{"url": "about:blank"}, &target)
	var session struct{ SessionID string }
	b.call("Target.attachToTarget", map[string]any{"targetId": target.TargetID, "flatten": true}, &session)
	b.session = session.SessionID
	for _, domain := range []string{"Page", "Runtime", "Network", "Log"} {
		b.call(domain+".enable", nil, nil)
	}
	return b
}

// call sends one command and waits for its answer; events that come before it
// are kept.
func (b *browser) call(method string, params, result any) {
	b.t.Helper()
	b.next++
	command := map[string]any{"id": b.next, "method": method, "params": params}
	if params == nil {
		delete(command, "params")
	}
	if b.session != "" {
		command["sessionId"] = b.session
	}
	text, err := json.Marshal(command)
	if err != nil {
		b.t.Fatal(err)
	}
	if _, err := b.in.Write(append(text, 0)); err != nil {
		b.t.Fatal(err)
	}
	deadline := time.After(60 * time.Second)
	for {
		select {
		case m, ok := <-b.answers:
			if !ok {
				b.t.Fatalf("%s: the browser has gone", method)
			}
			if m.ID == 0 {
				b.events = append(b.events, m)
				continue
			}
			if m.ID != b.next {
				continue
			}
			if m.Error != nil {
				b.t.Fatalf("%s: %s", method, m.Error)
			}
			if result != nil {
				if err := json.Unmarshal(m.Result, result); err != nil {
					b.t.Fatalf("%s: %v", method, err)
				}
			}
			return
		case <-deadline:
			b.t.Fatalf("%s: no answer within a minute", method)
		}
	}
}

// eval runs a script in the page and gives its value.
func (b *browser) eval(script string, into any) {
	b.t.Helper()
	var out struct {
		Result           struct{ Value json.RawMessage }
		ExceptionDetails *struct{ Text string }
	}
	b.call("Runtime.evaluate", map[string]any{"expression": script, "returnByValue": true, "awaitPromise": true}, &out)
	if out.ExceptionDetails != nil {
		b.t.Fatalf("%s: %s", script, out.ExceptionDetails.Text)
	}
	if err := json.Unmarshal(out.Result.Value, into); err != nil {
		b.t.Fatalf("%s: %s: %v", script, out.Result.Value, err)
	}
}

// open loads a page from a file and waits until it is drawn.
func (b *browser) open(page []byte) {
	b.t.Helper()
	path := filepath.Join(b.t.TempDir(), "page.html")
	if err := os.WriteFile(path, page, 0o644); err != nil {
		b.t.Fatal(err)
	}
	b.events = nil
	b.call("Page.navigate", map[string]any{"url": (&url.URL{Scheme: "file", Path: path}).String()}, nil)
	for range 200 {
		var ready bool
		b.eval(`document.readyState === "complete" && location.protocol === "file:"`, &ready)
		if ready {
			var drawn int
			b.eval(`new Promise(done => requestAnimationFrame(() => requestAnimationFrame(() => done(1))))`, &drawn)
			return
		}
		time.Sleep(50 * time.Millisecond)
	}
	b.t.Fatal("the page did not load")
}

// complaints lists errors, dialogs and requests of the page so far.
func (b *browser) complaints() []string {
	var settled int
	b.eval(`new Promise(done => setTimeout(() => done(1), 200))`, &settled)
	var all []string
	for _, e := range b.events {
		text := string(e.Params)
		switch e.Method {
		case "Runtime.exceptionThrown", "Page.javascriptDialogOpening":
			all = append(all, e.Method+": "+text)
		case "Runtime.consoleAPICalled":
			all = append(all, "console: "+text)
		case "Log.entryAdded":
			all = append(all, "log: "+text)
		case "Network.requestWillBeSent":
			var p struct{ Request struct{ URL string } }
			if err := json.Unmarshal(e.Params, &p); err == nil && !strings.HasPrefix(p.Request.URL, "data:") && !strings.HasSuffix(p.Request.URL, "/page.html") {
				all = append(all, "request: "+p.Request.URL)
			}
		}
	}
	return all
}

// undrawn names the charts that hold no picture of their series.
const undrawn = `[...document.querySelectorAll(".chart")].filter(box => {
  const chart = echarts.getInstanceByDom(box), svg = box.querySelector("svg");
  if (!chart || !svg) return true;
  const points = chart.getOption().series.reduce((n, s) => n + s.data.length, 0);
  return svg.querySelectorAll("path").length < Math.min(points, 5) || svg.querySelectorAll("text").length < 5;
}).map(box => box.id)`

func checkBook(t *testing.T, b *browser, page []byte, charts int) {
	t.Helper()
	b.t = t
	b.open(page)
	var missing []string
	if b.eval(undrawn, &missing); len(missing) > 0 {
		t.Errorf("charts that did not draw: %q", missing)
	}
	var count int
	if b.eval(`document.querySelectorAll(".chart").length`, &count); count != charts {
		t.Errorf("%d charts, want %d", count, charts)
	}
	// Tooltips are HTML of echarts' own making: show each one.
	var shown int
	b.eval(`[...document.querySelectorAll(".chart")].map(box => echarts.getInstanceByDom(box).dispatchAction({type: "showTip", seriesIndex: 0, dataIndex: 0})).length`, &shown)
	var hacked string
	if b.eval(`String(window.hacked)`, &hacked); hacked != "undefined" {
		t.Errorf("a name was run as script: window.hacked is %s", hacked)
	}
	var strangers int
	b.eval(`document.querySelectorAll("main img:not([src^='data:']), main b b, main script:not([src]), iframe, object, form").length - document.querySelectorAll(".chart").length`, &strangers)
	if strangers != 0 {
		t.Errorf("%d elements that no template wrote", strangers)
	}
	for _, text := range b.complaints() {
		t.Error(text)
	}
}

func TestBookInBrowser(t *testing.T) {
	b := openBrowser(t)
	// 3 of the program, 3 + 3 + 2 age classes, the past and 3 mixes.
	t.Run("sample", func(t *testing.T) { checkBook(t, b, book(t, sample.Terrace()), 15) })
	t.Run("hostile", func(t *testing.T) { checkBook(t, b, book(t, sample.Hostile()), 15) })
	t.Run("no plan", func(t *testing.T) { checkBook(t, b, book(t, sample.Clashing(sample.Terrace())), 4) })
	for _, name := range []string{"sheet", "draft"} {
		t.Run(name, func(t *testing.T) {
			for _, plan := range []*view.Plan{sample.Terrace(), sample.Hostile()} {
				b.t = t
				b.open(written(t, name, plan))
				var hacked string
				if b.eval(`String(window.hacked)`, &hacked); hacked != "undefined" {
					t.Errorf("a name was run as script: window.hacked is %s", hacked)
				}
				var strangers int
				if b.eval(`document.querySelectorAll("script, img, iframe, object, form, input").length`, &strangers); strangers != 0 {
					t.Errorf("%d elements that no template wrote", strangers)
				}
				var low int
				if b.eval(lowContrast, &low); low != 0 {
					t.Errorf("%d texts below a contrast of 4.5", low)
				}
				for _, text := range b.complaints() {
					t.Error(text)
				}
			}
		})
	}
	t.Run("wide table on a phone", func(t *testing.T) {
		b.t = t
		b.call("Emulation.setDeviceMetricsOverride", map[string]any{"width": 390, "height": 800, "deviceScaleFactor": 1, "mobile": true}, nil)
		defer b.call("Emulation.clearDeviceMetricsOverride", nil, nil)
		b.open(book(t, sample.Hostile()))
		var wide int
		if b.eval(`document.documentElement.scrollWidth`, &wide); wide > 390 {
			t.Errorf("the page is %d px wide on a screen of 390", wide)
		}
	})
}

// On paper no table runs past the edge: what stood there would be cut off, or the browser
// would print the whole book smaller.
func TestPrintedTablesFit(t *testing.T) {
	b := openBrowser(t)
	// US letter less the margins that browsers take, at 96 dots an inch.
	b.call("Emulation.setDeviceMetricsOverride", map[string]any{"width": 720, "height": 960, "deviceScaleFactor": 1, "mobile": false}, nil)
	b.call("Emulation.setEmulatedMedia", map[string]any{"media": "print"}, nil)
	plan := sample.Terrace()
	for i := range plan.Units { // a year of which every burn was missed
		plan.Planned = append(plan.Planned, habitat.PlannedBurn{Unit: plan.Units[i].ID, Year: plan.Property.YearOf(plan.Stamp.On) - 1, Season: plan.Property.Seasons[0].Name})
	}
	text := book(t, plan)
	b.open(text)
	var tables int
	if b.eval(`document.querySelectorAll("table").length`, &tables); tables < 8 {
		t.Fatalf("%d tables", tables)
	}
	var past string
	if b.eval(`document.querySelector("#past td.text:not(:empty)").innerText`, &past); strings.Count(past, ",") < 8 {
		t.Errorf("the years past name %q as missed; the test needs many units", past)
	}
	var wide []string
	b.eval(`[...document.querySelectorAll("table, svg, p, li, figure")].filter(e => e.getBoundingClientRect().right > document.body.getBoundingClientRect().right + 1).map(e => e.closest("section")?.id + ": " + e.tagName + " " + e.textContent.slice(0, 40))`, &wide)
	for _, what := range wide {
		t.Errorf("runs past the edge of the paper: %s", what)
	}
}

// What a reader hears and what the keyboard reaches.
func TestBookIsReadable(t *testing.T) {
	b := openBrowser(t)
	b.open(book(t, sample.Terrace()))
	for script, why := range map[string]string{
		`[...document.querySelectorAll("table")].filter(t => !t.caption || !t.caption.textContent.trim()).length`:                              "tables without a caption",
		`[...document.querySelectorAll("thead th")].filter(h => h.scope !== "col").length`:                                                     "column heads without scope",
		`[...document.querySelectorAll("tbody tr")].filter(r => !r.querySelector("th[scope]") && r === r.parentNode.firstElementChild).length`: "rows without a head",
		`[...document.querySelectorAll(".chart")].filter(c => c.getAttribute("role") !== "img" || !c.getAttribute("aria-label")).length`:       "charts without a label",
		`[...document.querySelectorAll(".scroll")].filter(s => s.tabIndex !== 0 || !s.getAttribute("aria-label")).length`:                      "scrolling tables that the keyboard does not reach",
		`[...document.querySelectorAll("nav a, .skip")].filter(a => !document.querySelector(a.getAttribute("href"))).length`:                   "links to nowhere",
		`document.querySelectorAll("h1").length - 1`: "first headings besides the one",
		`[...document.querySelectorAll("[id]")].length - new Set([...document.querySelectorAll("[id]")].map(e => e.id)).size`: "ids used twice",
		`document.documentElement.lang === "en" ? 0 : 1`:                                                                      "no language",
		lowContrast: "texts below a contrast of 4.5",
	} {
		var count int
		if b.eval(script, &count); count != 0 {
			t.Errorf("%d %s", count, why)
		}
	}
}

// lowContrast counts text whose contrast with its ground is below 4.5 to 1, by
// the definition of WCAG 2 (relative luminance, 1.4.3).
const lowContrast = `(() => {
  const parts = c => c.match(/[\d.]+/g).map(Number);
  const lum = c => { const [r, g, b] = parts(c).map(v => v / 255).map(v => v <= .04045 ? v / 12.92 : ((v + .055) / 1.055) ** 2.4); return .2126 * r + .7152 * g + .0722 * b; };
  const ground = e => { for (; e; e = e.parentElement) { const c = getComputedStyle(e).backgroundColor; const p = parts(c); if (p.length < 4 || p[3] > 0) return c; } return "rgb(255,255,255)"; };
  let low = 0;
  for (const e of document.querySelectorAll("body *:not(script):not(svg *)")) {
    if (![...e.childNodes].some(n => n.nodeType === 3 && n.data.trim()) || getComputedStyle(e).visibility === "hidden" || e.closest("svg, noscript")) continue;
    const a = lum(getComputedStyle(e).color), b = lum(ground(e));
    if ((Math.max(a, b) + .05) / (Math.min(a, b) + .05) < 4.5) low++;
  }
  return low;
})()`

// The checks above must be able to fail: this page breaks each of them.
func TestBrowserChecksCanFail(t *testing.T) {
	b := openBrowser(t)
	b.open([]byte(`<!DOCTYPE html><html><body><main><p style="color:#aaa;background:#fff">pale</p><img src="http://example.invalid/x.png"></main>
<script>setTimeout(() => { throw new Error("broken") }, 0); console.error("said"); window.hacked = 1</script></body></html>`))
	found := strings.Join(b.complaints(), "\n")
	for _, want := range []string{"broken", "said", "request: http://example.invalid/x.png"} {
		if !strings.Contains(found, want) {
			t.Errorf("the harness missed %q in:\n%s", want, found)
		}
	}
	var low int
	if b.eval(lowContrast, &low); low != 1 {
		t.Errorf("%d pale texts found, want 1", low)
	}
	var hacked string
	if b.eval(`String(window.hacked)`, &hacked); hacked != "1" {
		t.Error("window.hacked is not seen")
	}
	// A page under the book's own policy cannot reach out even where it tries.
	page := strings.Replace(string(book(t, sample.Terrace())), "<main id=\"main\">", "<main id=\"main\"><img src=\"http://example.invalid/y.png\">", 1)
	b.open([]byte(page))
	if found := fmt.Sprint(b.complaints()); !strings.Contains(found, "Content Security Policy") {
		t.Errorf("the policy let a request pass or said nothing: %s", found)
	}
}
