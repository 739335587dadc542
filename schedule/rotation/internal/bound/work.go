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
	return work
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
