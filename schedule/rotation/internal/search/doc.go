// Package search finds good plans of a rotation problem early.
//
// A walk holds one current plan with the sums of all its rows, and changes it by
// best responses: one unit is taken out, and an exact dynamic program over
// (year, age) puts it back on the path that costs least given all the others.
// Mix, evenness and neighbor costs are sums over years, and so is what rows
// charge, so the response is exact; it takes a microsecond or two.
//
// New builds a Searcher, Run works for a number of steps or until its context
// is done, Best gives the best plan that meets every requirement, Offer takes
// plans from elsewhere. Run goes on where it stopped. With the same model, seed,
// planned steps and sequence of calls, a searcher finds the same plans, whatever
// the number of cores; only a context that ends in between changes that.
//
// # Course
//
// The first plan is the locked burns alone, then everyone's best response: that
// takes milliseconds for hundreds of units. Then come generations of annealing
// walks, each with three times the work of the one before it; the last one that
// is planned takes all the steps that are left, and Hurry shortens it where time
// is shorter than was thought. A move takes out one to four units that have to
// do with each other (neighbors, apart pairs, one refuge group, one mix, burns
// in the same year) and puts them back one by one on their best paths under some
// noise.
//
// # Generations
//
// Walks of a hundred units that cool alike end far apart: sixteen of a million
// steps on medium-104 between 7,073 and 8,683. What a walk's plans cost from
// halfway down on tells how it will end (correlation 0.4 to 0.8 over 24 walks, up
// to 0.45 before that), and moves seldom fix it once it is cold. So the walks of
// a generation cool side by side, and every twentieth of the way the worst quarter
// go on from where the best are, with their prices ("go with the winners", Aldous
// and Vazirani 1994). Mean of the best of twelve walks of half a million steps,
// three seeds, at temperatures from 40 and with the joint moves of the list below:
//
//	             alone   together
//	medium-101  9,740.3  9,669.1
//	medium-102 13,404.0 13,223.6
//	medium-104  7,125.8  7,005.8
//
// With 24 million steps in all, 12, 24 and 48 walks came to the same within 1.3
// percent. On 711 units one walk of 43 million steps reached 65,649, four of a
// quarter of that 65,995, twelve 66,577; on 3,000 units one of 36 million 366,520,
// four 374,842 (one seed each).
//
// # Prices
//
// On a short-handed property every cap is full in every year, and a plan in
// which every limit is hard cannot be improved one unit at a time: who leaves a
// slot loses what it is worth before anyone else can take it. So while a cycle
// cools, each row with a limit has a price, found by itself: it rises where the
// row is over its limit and falls where it is not. Within the limit a row
// charges nearly that price, beyond it a little more. Prices work as in a
// Lagrangian relaxation, but nothing is claimed from them. Toward the end the
// charge within the limit fades and that beyond it grows; a cycle ends with
// every limit hard and every unit on its best response.
//
// Prices of caps that stay far from full fall faster than the others, and limits
// harden all the way: with both, and a move that puts units back in the opposite
// order, the best of 25 million steps on medium-104 went from 7,186 to 7,068 on
// average over four seeds, on growth's 100 units from 10,173 (two seeds) to 9,664;
// that was with limits hardened to 1e5.
//
// On medium-101 (126 units, 15 years; 3,000 steps a unit) penalties beyond the
// limits alone reached 11,040 on average over six seeds, prices 10,350 over
// three.
//
// # Tried without gain
//
// Each was run on medium-101, medium-102, medium-104 and a variant of
// medium-104 without neighbors, apart pairs and refuges: four seeds, two
// million steps each. The figure is the change in what the last three cycles
// reached, on average over the four problems; small ones may come from the
// seeds. The first group was compared with limits hardened to
// 1e5 and prices of slack caps falling no faster than the others:
//
//   - exact joint programs of up to six units of a refuge group or a cluster as
//     moves, under the same noise: 1 better for walks alone (ten seeds of a million
//     steps; 4 on medium-104), nothing for 48 walks that were compared;
//   - prices kept from one cycle to the next, cycles after the first from
//     temperature 70 or 45: 6.6 percent worse, 14 to 16 on medium-104; better
//     by 1.3 only without neighbors and refuges, where caps alone bind;
//   - prices of caps alone kept: 0.7 worse, the same way round;
//   - temperatures 100 to 10: 1.7 worse;
//   - the last part of a cycle half at the cold temperature: 1.5 worse;
//   - rows over their limit for 0.1 of the time at the end: 0.8 worse;
//   - noise twice as strong: 0.7 worse;
//   - moves of more units, going on with 0.7 instead of 0.5: 0.4 worse;
//   - prices moved 400 times a cycle instead of 100: 0.2 worse;
//   - refuges charged five times as much beyond their limit as cooling ends, or
//     priced twice as high at first: 0.2 better, 0.2 worse.
//
// Falling prices were 1.2 better there, with a tenth of a cap instead of three
// units left out of account. On top of them, and compared with the
// same runs as above, temperatures from 50 came to 1.4 better and those down to
// 4 to 1.0, no clear change; prices that move by 8 instead of 5 came to 0.1
// worse and prices that fall four times as fast to 0.4 worse.
//
// Cycles that start at temperature 30 with the prices kept found 0.6 percent
// worse plans than hot ones over four million steps and six problems; it seems
// that what makes one plan better than another is decided above that.
package search
