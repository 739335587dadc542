package rotation

import "emberquilt/schedule/problem"

func findClashes(p *problem.Problem) []problem.Clash { return nil }
