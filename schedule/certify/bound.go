package certify

import (
	"cmp"
	"context"
	"encoding/binary"
	"errors"
	"fmt"
	"math"
	"runtime"
	"slices"
	"sync"

	"emberquilt/schedule/guard"
	"emberquilt/schedule/problem"
)

// Certified is what a certificate proves.
type Certified struct {
	// Bound is what no plan can beat: the least value of a leaf, rounded down.
	// It is +Inf when every leaf is closed, that is, when no plan exists.
	Bound float64
	// Leaves counts the leaves of the tree, Closed those without a plan.
	Leaves, Closed int
}

// Bound finds out what a certificate proves for p. The error says why it proves
// nothing, or less than it claims; Certified is then of no use.
func Bound(ctx context.Context, p *problem.Problem, c *problem.Certificate) (Certified, error) {
	if c == nil || c.Tree == nil {
		return Certified{}, errors.New("the certificate is empty")
	}
	if p.SHA256 == "" || c.ProblemSHA256 != p.SHA256 {
		return Certified{}, fmt.Errorf("the certificate is for the problem with SHA-256 %q; this one has %q", c.ProblemSHA256, p.SHA256)
	}
	if math.IsNaN(c.Bound) || math.IsInf(c.Bound, 0) {
		return Certified{}, fmt.Errorf("the certificate claims %v, which is not a bound", c.Bound)
	}
	if c.WithoutGrowth {
		// A leaf of the problem without growth bounds that problem, and what a plan
		// costs in this one is at least as much.
		flat := *p
		flat.OverdueGrowth = 0
		p = &flat
	}
	f := newFrame(p)
	jobs, err := f.jobsOf(c)
	if err != nil {
		return Certified{}, err
	}
	all, err := f.run(ctx, jobs)
	if err != nil {
		return Certified{}, err
	}
	if !(c.Bound <= all.Bound) {
		return Certified{}, fmt.Errorf("the certificate claims %v and proves %v", c.Bound, all.Bound)
	}
	return all, nil
}

// way is the decisions on the way to a leaf, the last one first.
type way struct {
	decision
	before *way
}

// job is one leaf's prices with all places in the tree that use them.
type job struct {
	name string
	leaf *problem.Leaf
	ways []*way
}

// jobsOf walks the tree, checks its form and gathers its leaves, those with the
// same prices together.
func (f *frame) jobsOf(c *problem.Certificate) ([]*job, error) {
	var jobs []*job
	shared := make([]*job, len(c.Shared))
	var walk func(n *problem.Node, w *way, depth int) error
	walk = func(n *problem.Node, w *way, depth int) error {
		switch {
		case n == nil:
			return errors.New("the tree is not complete")
		case depth > problem.MaxCertificateDepth:
			return fmt.Errorf("the tree is deeper than %d", problem.MaxCertificateDepth)
		case (n.Burn == nil) != (n.Rest == nil):
			return errors.New("a node has one branch only: the leaves do not cover every plan")
		case n.Burn != nil && n.Leaf != nil:
			return errors.New("a node is a split and a leaf")
		case n.Burn != nil:
			d := decision{n.Unit, n.Year - f.p.FirstYear, -1, true}
			if n.InSeason {
				d.season = n.Season
			}
			if d.unit < 0 || d.unit >= f.N || d.year < 0 || d.year >= f.T || n.InSeason && (d.season < 0 || d.season >= f.S) {
				return errors.New("a node splits on a unit, year or season that the problem does not have")
			}
			if err := walk(n.Burn, &way{d, w}, depth+1); err != nil {
				return err
			}
			d.burn = false
			return walk(n.Rest, &way{d, w}, depth+1)
		case n.Leaf != nil:
			jobs = append(jobs, &job{fmt.Sprintf("leaf %d", len(jobs)), n.Leaf, []*way{w}})
			return nil
		}
		if n.Use < 0 || n.Use >= len(c.Shared) {
			return fmt.Errorf("a node uses shared leaf %d of %d", n.Use, len(c.Shared))
		}
		if shared[n.Use] == nil {
			shared[n.Use] = &job{fmt.Sprintf("shared leaf %d", n.Use), &c.Shared[n.Use], nil}
			jobs = append(jobs, shared[n.Use])
		}
		shared[n.Use].ways = append(shared[n.Use].ways, w)
		return nil
	}
	err := walk(c.Tree, nil, 0)
	return jobs, err
}

// run evaluates all leaves, several at a time. The result and the error do not
// depend on how many.
func (f *frame) run(ctx context.Context, jobs []*job) (Certified, error) {
	results, errs := make([]Certified, len(jobs)), make([]error, len(jobs))
	var mutex sync.Mutex
	next, failed := 0, false
	take := func() int {
		mutex.Lock()
		defer mutex.Unlock()
		if failed || next == len(jobs) || ctx.Err() != nil {
			return -1
		}
		next++
		return next - 1
	}
	var group guard.Group
	for range min(runtime.GOMAXPROCS(0), len(jobs)) {
		group.Go(func() {
			for k := take(); k >= 0; k = take() {
				if results[k], errs[k] = f.evaluate(ctx, jobs[k]); errs[k] != nil {
					mutex.Lock()
					failed = true
					mutex.Unlock()
				}
			}
		})
	}
	group.Wait()
	if err := ctx.Err(); err != nil {
		return Certified{}, fmt.Errorf("check the bound: %w", err)
	}
	// Jobs are taken in order, so that the first one that fails has been done.
	all := Certified{Bound: math.Inf(1)}
	for k, r := range results {
		if errs[k] != nil {
			return Certified{}, fmt.Errorf("%s: %w", jobs[k].name, errs[k])
		}
		all.Bound = min(all.Bound, r.Bound)
		all.Leaves += r.Leaves
		all.Closed += r.Closed
	}
	all.Bound = f.raise(all.Bound)
	return all, nil
}

// leaf is a leaf with its prices brought to costs, and the value of each part
// without decisions.
type leaf struct {
	*costs
	blocks []block
	// singles are the units in no block; part k is block k, or unit
	// singles[k−len(blocks)].
	singles []int
	// partsOf lists the parts that hold a unit.
	partsOf [][]int32
	base    []value
	// sum is the constant and the base value of all parts; closed is set when
	// one of them has no path.
	sum    total
	closed bool
	known  map[string]value
	// sweep is what the leaf claims by a sweep, 0 for nothing; prices are what
	// the sweep is cut by.
	sweep  float64
	prices *priced
	years  []yearValue
}

// value is the least cost of a part, infinite where it has no path.
type value struct {
	grains int64
	scale  scale
}

// evaluate gives the least value of a leaf over its places in the tree.
func (f *frame) evaluate(ctx context.Context, j *job) (Certified, error) {
	l, err := f.leafOf(j.leaf)
	if err != nil {
		return Certified{}, err
	}
	result := Certified{Bound: math.Inf(1), Leaves: len(j.ways)}
	for _, w := range j.ways {
		if ctx.Err() != nil {
			return Certified{}, ctx.Err()
		}
		bound, closed, err := l.at(ctx, w)
		switch {
		case err != nil:
			return Certified{}, err
		case closed:
			result.Closed++
		default:
			result.Bound = min(result.Bound, bound)
		}
	}
	return result, nil
}

func (f *frame) leafOf(from *problem.Leaf) (*leaf, error) {
	q, err := f.price(from)
	if err != nil {
		return nil, err
	}
	l := &leaf{known: map[string]value{}, partsOf: make([][]int32, f.N), sweep: from.Sweep, prices: q}
	blocks, inside, paid, err := f.blocksOf(from)
	if err != nil {
		return nil, err
	}
	l.blocks = blocks
	if l.years, err = f.yearsOf(from, q, l.blocks, inside, paid); err != nil {
		return nil, err
	}
	if l.costs, err = f.costsOf(q); err != nil {
		return nil, err
	}
	grain, ok := scaleOf(q.constant.abs)
	if !ok {
		return nil, errTooLarge
	}
	l.sum.add(grain.floor(q.constant), grain)
	for _, v := range l.years {
		l.sum.add(v.grains, v.scale)
	}
	for k := range l.blocks {
		for _, i := range l.blocks[k].units {
			l.partsOf[i] = append(l.partsOf[i], int32(k))
		}
	}
	for i := range f.units {
		if l.partsOf[i] == nil {
			l.partsOf[i] = []int32{int32(len(l.blocks) + len(l.singles))}
			l.singles = append(l.singles, i)
		}
	}
	l.base = make([]value, len(l.blocks)+len(l.singles))
	for k := range l.base {
		if l.base[k], err = l.part(k, nil); err != nil {
			return nil, err
		}
		if l.base[k].grains >= infinite {
			l.closed = true
		} else {
			l.sum.add(l.base[k].grains, l.base[k].scale)
		}
	}
	return l, nil
}

// part gives the value of a part under decisions.
func (l *leaf) part(k int, decisions []decision) (value, error) {
	if k >= len(l.blocks) {
		i := l.singles[k-len(l.blocks)]
		u, err := l.unit(i, decisions)
		if err != nil {
			return value{}, err
		}
		return value{u.path(&l.units[i]), u.scale}, nil
	}
	units := make([]unitCosts, len(l.blocks[k].units))
	for n, i := range l.blocks[k].units {
		var err error
		if units[n], err = l.unit(i, decisions); err != nil {
			return value{}, err
		}
	}
	grains, scale, err := l.joint(&l.blocks[k], units)
	if err != nil {
		return value{}, fmt.Errorf("block %d: %w", k, err)
	}
	return value{grains, scale}, nil
}

// unit gives the costs of a unit under decisions.
func (l *leaf) unit(i int, decisions []decision) (unitCosts, error) {
	for _, d := range decisions {
		if d.unit == i {
			return l.under(i, decisions)
		}
	}
	return l.costs.free[i], nil
}

// at gives the value of the leaf at one place in the tree.
func (l *leaf) at(ctx context.Context, w *way) (bound float64, closed bool, err error) {
	if l.closed {
		return 0, true, nil
	}
	var decisions []decision
	var touched []int
	for ; w != nil; w = w.before {
		decisions = append(decisions, w.decision)
		for _, k := range l.partsOf[w.unit] {
			if !slices.Contains(touched, int(k)) {
				touched = append(touched, int(k))
			}
		}
	}
	slices.SortFunc(decisions, func(a, b decision) int {
		return cmp.Or(a.unit-b.unit, a.year-b.year, a.season-b.season, cmp.Compare(bit(a.burn), bit(b.burn)))
	})
	var sum total
	sum.grains.Set(&l.sum.grains)
	for _, k := range touched {
		v, err := l.partUnder(k, decisions)
		if err != nil {
			return 0, false, err
		}
		if v.grains >= infinite {
			return 0, true, nil
		}
		sum.add(v.grains, v.scale)
		sum.add(-l.base[k].grains, l.base[k].scale)
	}
	bound = sum.float()
	if l.sweep > 0 && l.sweep > bound {
		if err := l.swept(ctx, decisions); err != nil {
			return 0, false, fmt.Errorf("sweep: %w", err)
		}
		bound = l.sweep
	}
	return bound, false, nil
}

func bit(b bool) int {
	if b {
		return 1
	}
	return 0
}

// partUnder is part, with the values kept: a thousand places in the tree share
// most of their decisions.
func (l *leaf) partUnder(k int, decisions []decision) (value, error) {
	var own []decision
	key := binary.AppendUvarint(nil, uint64(k))
	for n, d := range decisions {
		if n > 0 && decisions[n-1] == d || !slices.Contains(l.partsOf[d.unit], int32(k)) {
			continue
		}
		own = append(own, d)
		key = binary.AppendUvarint(key, uint64(d.unit))
		key = binary.AppendUvarint(key, uint64(d.year))
		key = binary.AppendUvarint(key, uint64(2*(d.season+1)+bit(d.burn)))
	}
	if v, ok := l.known[string(key)]; ok {
		return v, nil
	}
	v, err := l.part(k, own)
	if err == nil {
		l.known[string(key)] = v
	}
	return v, err
}
