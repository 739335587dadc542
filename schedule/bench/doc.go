// Command bench measures the rotation solver on families of problems and prints
// the table that the repository keeps, as Markdown.
//
//	go run ./schedule/bench -seconds 60 -at 10,60 -folder ../shared/bench/problems
//	go run ./schedule/bench -families growth,grid -seconds 60 -other cbc,highs
//	go run ./schedule/bench -families growth -seconds 60 -plot growth.svg
//	go run ./schedule/bench -families grid -write /tmp/problems
//
// A folder holds rotation-problem/1 files; the family of one is its name up to
// the first dash. Beside the folder, ../results.tsv may hold the best costs and
// linear bounds that are known. -families takes problems that the program makes
// itself from stated seeds; see package family. Every answer is checked with its
// certificate before it is printed.
package main
