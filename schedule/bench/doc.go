// Command bench measures the rotation solver on families of problems and prints
// the tables that the repository keeps, as Markdown.
//
//	# all of them anew, into the tables of the file of results (some 20 minutes)
//	go build ./cmd/emberquilt
//	go run ./schedule/bench -results schedule/bench/RESULTS.md -folder problems -known schedule/bench/known.tsv \
//		-konza polygons/konza -program ./emberquilt
//
// Or one table at a time:
//
//	bench="go run ./schedule/bench"
//	folder=problems # a folder of rotation-problem/1 files
//
//	# small ones against their optima
//	$bench -folder $folder -only tiny,small
//	$bench -families pinwheel -seconds 20
//	# middle and large ones: plans after 1 s against another solver's after 300,
//	# bounds after 10 s against the linear bound, gaps after 60 s
//	$bench -folder $folder -only medium,paper,large -at 1,10 -known schedule/bench/known.tsv
//	# real units: those of the folder, and Konza Prairie as the program makes it
//	$bench -folder $folder -konza polygons/konza -program ./emberquilt -only real,konza -at 10
//	# growth: the time to a gap of 2%, or the gap after 60 s, and memory
//	$bench -families growth -plot schedule/bench/growth.svg
//	# grids of the published design beside other solvers
//	EMBERQUILT_NODE=$node $bench -families grid -at 10 -other highs,cbc
//
// A folder holds rotation-problem/1 files; the family of one is its name up to
// the first dash. Beside the folder, ../results.tsv may hold the best costs and
// linear bounds that are known; -known names a file of the same columns that
// fills what it leaves open. -families takes problems that the program makes
// itself from stated seeds; see package family. Every answer is checked with its
// certificate before it is printed.
//
// -results measures what stands between the marks of a file (<!-- bench: small -->)
// and puts the new tables there; the text around them is written by hand.
//
// -at adds what there was after so many seconds of the same run, of this program
// and of the others: one run of -seconds gives both columns, those of another
// solver by the lines of progress in its log and their times, which leave out
// its reading of the problem. A solver that is not installed is named so in
// its column. -write gives the files that others read.
//
// The second table has a line for each family, with the two ends of the gap: how
// much of the way from the first gap to the last better plans and better bounds
// made.
package main
