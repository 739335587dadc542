package web

import (
	"context"
	"net/http"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"emberquilt/cmd/internal/app"
)

// TestAFaultOfTheProgramEndsNoServer: work beside a request that panics, be it what is
// read ahead, a solve, the making of a plan or the look at the file, is over; the server
// answers on, and who waits for the work hears what happened.
func TestAFaultOfTheProgramEndsNoServer(t *testing.T) {
	o := options(t, demoProperty(t, t.TempDir()))
	var isBroken atomic.Bool
	var panics atomic.Int32
	o.Environment = func() (app.Environment, error) {
		if isBroken.Load() {
			panics.Add(1)
			panic("nothing is as it should be")
		}
		return environment()
	}
	r := start(t, o)
	p, err := r.find("nine-gate")
	if err != nil {
		t.Fatal(err)
	}
	c, _, _, _ := r.hub.listen(0)
	defer r.hub.leave(c)
	isBroken.Store(true)
	for _, screen := range []string{"season", "plan", "ground"} {
		before := panics.Load()
		if answer := r.get("/p/nine-gate/" + screen); answer.StatusCode != http.StatusOK {
			t.Errorf("%s: %d", screen, answer.StatusCode)
		}
		for tried := 0; panics.Load() == before; tried++ {
			if tried == 1000 {
				t.Fatalf("%s: nothing was read ahead", screen)
			}
			time.Sleep(time.Millisecond)
		}
	}
	p.solve(func(context.Context) { panic("a solve") })
	p.solve(func(ctx context.Context) { p.say("after", nil) })
	if answer := r.post("/api/p/nine-gate/plan", `{"years": 3, "from": 2027}`); answer.StatusCode != http.StatusAccepted {
		t.Fatalf("making a plan: %d %s", answer.StatusCode, answer.text)
	}
	heard := map[string]bool{}
	for !heard["plan"] || !heard["after"] {
		select {
		case e := <-c:
			heard[e.Kind] = true
			if end, ok := e.Data.(planState); ok && (!end.IsOver || end.Fault == nil || !strings.Contains(end.Fault.Errors[0].Found, "a fault of the program")) {
				t.Errorf("the page hears %+v of the plan", end)
			}
		case <-time.After(20 * time.Second):
			t.Fatalf("the page hears of %v only", heard)
		}
	}
	isBroken.Store(false)
	if answer := r.get("/api/p/nine-gate/season"); answer.StatusCode != http.StatusOK {
		t.Errorf("afterwards: %d %s", answer.StatusCode, answer.text)
	}
}
