package tree

import (
	"context"
	"math"

	"emberquilt/schedule/guard"
	"emberquilt/schedule/problem"
	"emberquilt/schedule/rotation/internal/bound"
	"emberquilt/schedule/rotation/internal/model"
)

// node is a set of plans: those that obey the decisions on the way from the
// root. A node with kids is split on unit and year; another is a leaf.
type node struct {
	parent     *node
	burn, rest *node
	unit, year int32
	// season is that of a split on a season; −1 splits on burn and rest.
	season int8
	// bound holds for every plan of the node, and dual proves it.
	bound float64
	dual  *bound.Dual
	depth int32
}

// Settings say how a tree is searched.
type Settings struct {
	Threads int
	// Steps of the price ascent at a node, and at each child that strong
	// branching tries.
	Steps, TrySteps int
	// Try is how many splits strong branching compares.
	Try int
	// Batch is how many nodes are worked on between two looks at the queue. It
	// does not depend on Threads, so that the tree does not either.
	Batch int
	// Rate is the step length at a node.
	Rate float64
	// MostDuals limits the memory: it is how many duals are kept.
	MostDuals int
}

// Tree is a branch and bound search over burn decisions.
type Tree struct {
	m        *model.Model
	set      Settings
	engine   *bound.Engine
	root     *node
	open     []*node // a heap, least bound first
	workers  []*worker
	upper    float64
	gap      float64
	Nodes    int
	duals    int
	closed   float64 // least bound of the leaves that are closed by the upper bound
	proposed []model.Plan
}

// New starts a tree from the claimed bound of an engine, which the tree takes
// over; its fixings are the root's.
func New(e *bound.Engine, value float64, set Settings) *Tree {
	t := &Tree{m: e.M, set: set, engine: e, upper: math.Inf(1), closed: math.Inf(1)}
	t.root = &node{bound: value, dual: e.Save()}
	t.push(t.root)
	for range max(1, set.Threads) {
		t.workers = append(t.workers, newWorker(e.Clone()))
	}
	return t
}

// Aim sets the cost of the best plan known and the gap at which to stop,
// relative to max(cost, 1).
func (t *Tree) Aim(cost, gap float64) {
	t.upper, t.gap = cost, gap
}

// cutoff is the bound from which a node need not be looked at again.
func (t *Tree) cutoff() float64 {
	if math.IsInf(t.upper, 1) {
		return t.upper
	}
	return t.upper - t.gap*math.Max(t.upper, 1)
}

// Bound gives a lower bound on the cost of every plan.
func (t *Tree) Bound() float64 {
	b := t.closed
	if len(t.open) > 0 {
		b = math.Min(b, t.open[0].bound)
	}
	return b
}

// IsDone reports whether no node is left below the cutoff.
func (t *Tree) IsDone() bool { return len(t.open) == 0 || t.open[0].bound >= t.cutoff() }

// IsFull reports whether the memory that the tree may take is used up.
func (t *Tree) IsFull() bool { return t.set.MostDuals > 0 && t.duals >= t.set.MostDuals }

// Round works on one batch of nodes.
func (t *Tree) Round(ctx context.Context) {
	var batch []*node
	for len(batch) < t.set.Batch && !t.IsDone() {
		batch = append(batch, t.pop())
	}
	results := make([]result, len(batch))
	cut := t.cutoff()
	var wait guard.Group
	next := make(chan int, len(batch))
	for x := range batch {
		next <- x
	}
	close(next)
	for _, w := range t.workers {
		wait.Go(func() {
			for x := range next {
				if ctx.Err() == nil {
					results[x] = w.work(t, batch[x], cut)
				} else {
					results[x].cut = true
				}
			}
		})
	}
	wait.Wait()
	for x, n := range batch {
		t.join(n, &results[x])
	}
}

// join takes over what a worker found of a node.
func (t *Tree) join(n *node, r *result) {
	if r.cut {
		t.push(n)
		return
	}
	t.Nodes++
	if r.plan != nil {
		t.proposed = append(t.proposed, r.plan)
	}
	if len(r.fixed) > 0 {
		// The other sides are proven by the dual of before; a better one that
		// was found after fixing holds for the last node of the chain only.
		if r.fixedBy != nil {
			n.dual = r.fixedBy
			if r.fixedBy != r.dual {
				t.duals++
			}
		}
		for _, f := range r.fixed {
			burn, rest := n.split(f.unit, f.year, -1)
			if f.burn {
				rest.bound, n = f.bound, burn
				t.close(rest)
			} else {
				burn.bound, n = f.bound, rest
				t.close(burn)
			}
		}
	}
	if r.dual != nil {
		n.bound, n.dual = r.bound, r.dual
		t.duals++
	}
	if math.IsInf(n.bound, 1) || n.bound >= t.cutoff() {
		t.close(n)
		return
	}
	if r.unit < 0 {
		// Nothing is left to decide: the relaxation's own gap remains.
		t.close(n)
		return
	}
	burn, rest := n.split(r.unit, r.year, r.season)
	t.push(burn.with(r.burn))
	t.push(rest.with(r.rest))
}

func (n *node) split(unit, year int32, season int8) (burn, rest *node) {
	n.unit, n.year, n.season = unit, year, season
	n.burn = &node{parent: n, bound: n.bound, dual: n.dual, depth: n.depth + 1}
	n.rest = &node{parent: n, bound: n.bound, dual: n.dual, depth: n.depth + 1}
	return n.burn, n.rest
}

// with raises a bound that the node's own dual proves.
func (n *node) with(b float64) *node {
	n.bound = math.Max(n.bound, b)
	return n
}

func (t *Tree) close(n *node) { t.closed = math.Min(t.closed, n.bound) }

// less orders the queue: least bound first, then the deeper node.
func less(a, b *node) bool {
	if a.bound != b.bound {
		return a.bound < b.bound
	}
	return a.depth > b.depth
}

func (t *Tree) push(n *node) {
	t.open = append(t.open, n)
	for x := len(t.open) - 1; x > 0; {
		up := (x - 1) / 2
		if !less(t.open[x], t.open[up]) {
			break
		}
		t.open[x], t.open[up] = t.open[up], t.open[x]
		x = up
	}
}

func (t *Tree) pop() *node {
	top := t.open[0]
	last := len(t.open) - 1
	t.open[0] = t.open[last]
	t.open = t.open[:last]
	for x := 0; ; {
		kid := 2*x + 1
		if kid >= last {
			break
		}
		if kid+1 < last && less(t.open[kid+1], t.open[kid]) {
			kid++
		}
		if !less(t.open[kid], t.open[x]) {
			break
		}
		t.open[x], t.open[kid] = t.open[kid], t.open[x]
		x = kid
	}
	return top
}

// Certificate gives the tree as a certificate of Bound.
func (t *Tree) Certificate() *problem.Certificate {
	c := &problem.Certificate{ProblemSHA256: t.m.Problem.SHA256, Bound: t.Bound()}
	index := map[*bound.Dual]int{}
	// The tree may be deep; walk it with a stack.
	root := &problem.Node{}
	type step struct {
		from *node
		to   *problem.Node
	}
	stack := []step{{t.root, root}}
	for len(stack) > 0 {
		s := stack[len(stack)-1]
		stack = stack[:len(stack)-1]
		if s.from.burn == nil {
			use, ok := index[s.from.dual]
			if !ok {
				use = len(c.Shared)
				index[s.from.dual] = use
				c.Shared = append(c.Shared, *t.engine.LeafOf(s.from.dual))
			}
			s.to.Use = use
			continue
		}
		s.to.Unit, s.to.Year = int(s.from.unit), t.m.Problem.FirstYear+int(s.from.year)
		if s.from.season >= 0 {
			s.to.InSeason, s.to.Season = true, int(s.from.season)
		}
		s.to.Burn, s.to.Rest = &problem.Node{}, &problem.Node{}
		stack = append(stack, step{s.from.rest, s.to.Rest}, step{s.from.burn, s.to.Burn})
	}
	c.Tree = root
	return c
}

// Plans gives, and forgets, better plans that the relaxations of nodes came
// upon.
func (t *Tree) Plans() []model.Plan {
	p := t.proposed
	t.proposed = nil
	return p
}
