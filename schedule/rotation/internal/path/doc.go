// Package path finds the best burn sequence of one unit by itself.
//
// Given, for each year t, what a burn costs (burn[t], the cheapest season
// chosen before), what a rest costs (rest[t]) and what it costs to end the year
// in age state k (state[t·K+k]), the least cost V_t(k) of reaching state k at
// the end of year t is
//
//	V_t(0)   = burn[t] + state[t,0]   + min over k' that may burn of V_{t−1}(k')
//	V_t(k)   = rest[t] + state[t,k]   + V_{t−1}(k−1)                 0 < k < K−1
//	V_t(K−1) = rest[t] + state[t,K−1] + min(V_{t−1}(K−2), V_{t−1}(K−1))
//
// from V(start) = 0. That is O(T·K) for one unit. Ties go to the youngest
// predecessor, and at the end to the youngest state.
package path
