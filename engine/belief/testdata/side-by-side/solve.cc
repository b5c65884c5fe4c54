// Solves networks in the plain form of README.md with the join tree of dlib:
// solve SECONDS FILE... writes one line of JSON for each.
#include <dlib/bayes_utils.h>
#include <dlib/directed_graph.h>
#include <dlib/graph.h>
#include <dlib/graph_utils.h>
#include <dlib/revision.h>
#include <dlib/set.h>

#include <algorithm>
#include <chrono>
#include <cstdio>
#include <ctime>
#include <fstream>
#include <string>
#include <vector>

using namespace dlib;
typedef directed_graph<bayes_node>::kernel_1a network;
typedef set<unsigned long>::compare_1b_c members;
typedef graph<members, members>::kernel_1a tree;

static double cpu() {
	timespec t;
	clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
	return t.tv_sec + 1e-9 * t.tv_nsec;
}

static double wall() {
	return std::chrono::duration<double>(std::chrono::steady_clock::now().time_since_epoch()).count();
}

static double median(std::vector<double> of) {
	std::sort(of.begin(), of.end());
	return of[of.size() / 2];
}

// triangulate joins the neighbours of each node as it goes, in the order of least
// fill-in. The library's own order, left to itself, makes larger tables.
static void triangulate(tree &t) {
	const unsigned long n = t.number_of_nodes();
	std::vector<std::vector<bool>> tied(n, std::vector<bool>(n));
	for (unsigned long i = 0; i < n; i++)
		for (unsigned long j = 0; j < n; j++)
			tied[i][j] = i != j && t.has_edge(i, j);
	std::vector<bool> gone(n);
	for (unsigned long left = n; left > 0; left--) {
		unsigned long best = n, least = 0;
		std::vector<unsigned long> around;
		for (unsigned long i = 0; i < n; i++) {
			if (gone[i])
				continue;
			std::vector<unsigned long> near;
			for (unsigned long j = 0; j < n; j++)
				if (!gone[j] && tied[i][j])
					near.push_back(j);
			unsigned long fill = 0;
			for (unsigned long a : near)
				for (unsigned long b : near)
					fill += a < b && !tied[a][b];
			if (best == n || fill < least) {
				best = i;
				least = fill;
				around = near;
			}
		}
		gone[best] = true;
		for (unsigned long a : around)
			for (unsigned long b : around)
				if (a < b && !tied[a][b]) {
					tied[a][b] = tied[b][a] = true;
					t.add_edge(a, b);
				}
	}
}

static void solve(const char *name, double seconds) {
	std::ifstream in(name);
	int nodes;
	in >> nodes;
	network n;
	n.set_number_of_nodes(nodes);
	for (int i = 0; i < nodes; i++) {
		int parents;
		in >> parents;
		std::vector<unsigned long> of(parents);
		for (auto &p : of) {
			in >> p;
			n.add_edge(p, i);
		}
		bayes_node_utils::set_node_num_values(n, i, 2);
		for (unsigned long row = 0; row < 1ul << parents; row++) {
			double p;
			in >> p;
			assignment when;
			for (int k = 0; k < parents; k++)
				when.add(of[k], row >> k & 1);
			bayes_node_utils::set_node_probability(n, i, 1, when, p);
			bayes_node_utils::set_node_probability(n, i, 0, when, 1 - p);
		}
	}
	int seen, asked;
	in >> seen;
	for (int i = 0; i < seen; i++) {
		int node, value;
		in >> node >> value;
		bayes_node_utils::set_node_value(n, node, value);
		bayes_node_utils::set_node_as_evidence(n, node);
	}
	in >> asked;
	std::vector<unsigned long> ask(asked);
	for (auto &a : ask)
		in >> a;
	double start = cpu();
	tree t;
	create_moral_graph(n, t);
	triangulate(t);
	create_join_tree(t, t);
	double prepare = cpu() - start;
	std::vector<double> times, clock, posterior;
	for (double began = wall(); times.empty() || (wall() - began < seconds && times.size() < 101);) {
		double c = cpu(), w = wall();
		bayesian_network_join_tree solution(n, t);
		posterior.clear();
		for (auto a : ask)
			posterior.push_back(solution.probability(a)(1));
		times.push_back(cpu() - c);
		clock.push_back(wall() - w);
	}
	printf("{\"Library\":\"dlib %d.%d, join tree, C++\",\"File\":\"%s\",\"Prepare\":%g,\"CPU\":%g,\"Wall\":%g,\"Queries\":%zu,\"Faults\":[",
		DLIB_MAJOR_VERSION, DLIB_MINOR_VERSION, name, prepare, median(times), median(clock), times.size());
	for (size_t i = 0; i < posterior.size(); i++)
		printf("%s%.17g", i ? "," : "", posterior[i]);
	printf("]}\n");
	fflush(stdout);
}

int main(int argc, char **argv) {
	for (int i = 2; i < argc; i++)
		solve(argv[i], atof(argv[1]));
}
