package bound

// Work estimates, in nanoseconds on a common machine, one evaluation and step
// with one thread. It depends on the problem and the blocks alone.
func (e *Engine) Work() float64 {
	work := e.baseWork(len(e.shift))
	for _, b := range e.blocks {
		if b.shape != nil {
			work += e.blockWork(b.units)
		}
	}
	work += 8 * float64(len(e.age))
	for k := range e.parts {
		work += float64(e.M.T) * float64(int(1)<<len(e.blocks[e.parts[k].payer.block].units))
	}
	if e.years != nil {
		for x := range e.years.blocks {
			work += e.years.blocks[x].work()
		}
	}
	return work
}

// work estimates an evaluation of the block, and a step of its prices.
func (b *yearBlock) work() float64 {
	work := 25 * float64(len(b.units))
	if b.graph != nil {
		for x := range b.graph.steps {
			step := &b.graph.steps[x]
			work += 20 + float64(len(step.base))*(1.5+1.2*float64(len(step.from)))
		}
		return work
	}
	sets := float64(len(b.units)*b.sum.many) / sumLanes
	return work + float64(len(b.sum.pieces))*(1.2*sets+8*float64(len(b.units))+float64(b.sum.many))
}

// LayersWork is Work as it would be with other blocks.
func (e *Engine) LayersWork(groups [][]int32) float64 {
	copies := 0
	for _, units := range groups {
		copies += len(units)
	}
	work := e.baseWork(copies * e.M.T)
	for _, units := range groups {
		work += e.blockWork(units)
	}
	return work
}

func (e *Engine) baseWork(shifts int) float64 {
	work := 9*float64(len(e.Active)) + 3*float64(len(e.Price)) + 10*float64(shifts)
	return work + float64(e.M.T)*(16*float64(e.M.N)+5*float64(len(e.M.CanBurn)))
}

func (e *Engine) blockWork(units []int32) float64 {
	size := 1.0
	for _, i := range units {
		size *= float64(e.M.K[i])
	}
	return float64(e.M.T) * (60 + size*(0.6+0.35*float64(len(units))))
}
