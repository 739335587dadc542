// Package guard brings a fault of a goroutine to whoever waits for it: the program's own
// door says what happened and ends in order, where a panic that nobody hears would end the
// process in the midst of everything.
package guard

import (
	"fmt"
	"runtime/debug"
	"sync"
)

// Group waits for goroutines, as a sync.WaitGroup does. The zero value is ready to use.
type Group struct {
	wait  sync.WaitGroup
	once  sync.Once
	fault error
}

// Go calls f in a goroutine of its own.
func (g *Group) Go(f func()) {
	g.wait.Go(func() {
		defer func() {
			if p := recover(); p != nil {
				g.once.Do(func() { g.fault = fmt.Errorf("%v\n%s", p, debug.Stack()) })
			}
		}()
		f()
	})
}

// Wait returns when all have ended, and panics with the fault of the first that did.
func (g *Group) Wait() {
	g.wait.Wait()
	if g.fault != nil {
		panic(g.fault)
	}
}
