// Solves networks in the plain form of README.md with the junction tree of Weka:
// java Solve SECONDS FILE... writes one line of JSON for each.

import java.lang.management.ManagementFactory;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Collections;
import java.util.List;
import java.util.Locale;
import java.util.Scanner;
import weka.classifiers.bayes.net.EditableBayesNet;
import weka.classifiers.bayes.net.MarginCalculator;
import weka.core.SerializedObject;
import weka.core.Version;

public class Solve {
	static double cpu() {
		return ManagementFactory.getThreadMXBean().getCurrentThreadCpuTime() * 1e-9;
	}

	static double wall() {
		return System.nanoTime() * 1e-9;
	}

	static double median(List<Double> of) {
		Collections.sort(of);
		return of.get(of.size() / 2);
	}

	static void solve(String name, double seconds) throws Exception {
		Scanner in = new Scanner(Files.readString(Path.of(name))).useLocale(Locale.ROOT);
		int nodes = in.nextInt();
		EditableBayesNet net = new EditableBayesNet(true);
		double[][] tables = new double[nodes][];
		int[][] parents = new int[nodes][];
		for (int i = 0; i < nodes; i++) {
			net.addNode("n" + i, 2);
			parents[i] = new int[in.nextInt()];
			for (int k = 0; k < parents[i].length; k++) {
				parents[i][k] = in.nextInt();
			}
			tables[i] = new double[1 << parents[i].length];
			for (int row = 0; row < tables[i].length; row++) {
				tables[i][row] = in.nextDouble();
			}
		}
		for (int i = 0; i < nodes; i++) {
			int k = parents[i].length;
			for (int p : parents[i]) {
				net.addArc(p, i);
			}
			double[][] rows = new double[1 << k][];
			for (int row = 0; row < rows.length; row++) {
				int at = 0; // there the first parent counts slowest
				for (int b = 0; b < k; b++) {
					at |= (row >> b & 1) << (k - 1 - b);
				}
				rows[at] = new double[] {1 - tables[i][row], tables[i][row]};
			}
			net.setDistribution(i, rows);
		}
		int[][] seen = new int[in.nextInt()][2];
		for (int[] s : seen) {
			s[0] = in.nextInt();
			s[1] = in.nextInt();
		}
		int[] asked = new int[in.nextInt()];
		for (int i = 0; i < asked.length; i++) {
			asked[i] = in.nextInt();
		}
		double[] posterior = new double[asked.length];
		double start = cpu();
		MarginCalculator prior = new MarginCalculator();
		prior.calcMargins(net);
		double prepare = cpu() - start;
		List<Double> times = new ArrayList<>(), clock = new ArrayList<>();
		// Evidence cannot be taken back, so each query has a copy, made outside the time.
		SerializedObject copy = new SerializedObject(prior);
		for (double began = wall(); times.isEmpty() || wall() - began < seconds && times.size() < 101;) {
			MarginCalculator m = (MarginCalculator) copy.getObject();
			double c = cpu(), w = wall();
			for (int[] s : seen) {
				m.setEvidence(s[0], s[1]);
			}
			for (int i = 0; i < posterior.length; i++) {
				posterior[i] = m.getMargin(asked[i])[1];
			}
			times.add(cpu() - c);
			clock.add(wall() - w);
		}
		StringBuilder out = new StringBuilder();
		for (double p : posterior) {
			out.append(out.length() > 0 ? "," : "").append(p);
		}
		System.out.printf(Locale.ROOT, "{\"Library\":\"Weka %s, junction tree, Java\",\"File\":\"%s\",\"Prepare\":%g,\"CPU\":%g,\"Wall\":%g,\"Queries\":%d,\"Faults\":[%s]}%n",
			Version.VERSION, name, prepare, median(times), median(clock), times.size(), out);
	}

	public static void main(String[] args) throws Exception {
		for (int i = 1; i < args.length; i++) {
			solve(args[i], Double.parseDouble(args[0]));
		}
	}
}
