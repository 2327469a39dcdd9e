/* Solve the problems written by expand.py with GLPK: least grams, then least
 * cents at that mass. One line per problem:
 *
 *   grams,cents,seconds_grams,seconds_cents     or     infeasible,,seconds,
 *
 * Seconds are the processor time of the solver's own calls in this process,
 * without reading the problem. Rows are scaled to a largest coefficient of one. The
 * solution is checked again in integers; "wrong" instead of the numbers means
 * that the rounded solution violates a row.
 *
 * cc -O2 -o glpk glpk.c -lglpk
 */
#include <glpk.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

static double now(void)
{
	struct timespec t;
	clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
	return t.tv_sec + 1e-9 * t.tv_nsec;
}

static int solve(glp_prob *lp, double *seconds)
{
	glp_iocp io;
	double start = now();
	glp_init_iocp(&io);
	io.presolve = GLP_ON;
	io.msg_lev = GLP_MSG_OFF;
	io.tol_int = 1e-8;
	io.tol_obj = 1e-9;
	io.tm_lim = 60000;
	if (getenv("GLPK_CUTS")) {
		io.mir_cuts = GLP_ON;
		io.gmi_cuts = GLP_ON;
	}
	int err = glp_intopt(lp, &io);
	*seconds = now() - start;
	if (err == GLP_ENOPFS)
		return GLP_NOFEAS;
	if (err == GLP_ETMLIM)
		return -1;
	if (err)
		return GLP_UNDEF;
	return glp_mip_status(lp);
}

int main(void)
{
	int n, m;
	glp_term_out(GLP_OFF);
	while (scanf("%d %d", &n, &m) == 2) {
		long long *up = malloc(n * sizeof *up), *g = malloc(n * sizeof *g), *c = malloc(n * sizeof *c);
		long long *a = malloc((size_t)n * m * sizeof *a), *b = malloc(m * sizeof *b);
		for (int j = 0; j < n; j++)
			if (scanf("%lld %lld %lld", &up[j], &g[j], &c[j]) != 3) return 1;
		for (int i = 0; i < m; i++) {
			if (scanf("%lld", &b[i]) != 1) return 1;
			for (int j = 0; j < n; j++)
				if (scanf("%lld", &a[i * n + j]) != 1) return 1;
		}
		glp_prob *lp = glp_create_prob();
		int *ind = malloc((n + 1) * sizeof *ind);
		double *val = malloc((n + 1) * sizeof *val);
		glp_add_cols(lp, n);
		glp_add_rows(lp, m + 1);
		for (int j = 0; j < n; j++) {
			glp_set_col_kind(lp, j + 1, GLP_IV);
			glp_set_col_bnds(lp, j + 1, up[j] ? GLP_DB : GLP_FX, 0, up[j]);
			glp_set_obj_coef(lp, j + 1, g[j] / 1000.0);
		}
		for (int i = 0; i < m; i++) {
			double big = 0;
			int k = 0;
			for (int j = 0; j < n; j++)
				big = fmax(big, fabs((double)a[i * n + j]));
			if (big == 0) big = 1;
			for (int j = 0; j < n; j++)
				if (a[i * n + j]) {
					ind[++k] = j + 1;
					val[k] = a[i * n + j] / big;
				}
			glp_set_mat_row(lp, i + 1, k, ind, val);
			glp_set_row_bnds(lp, i + 1, GLP_LO, b[i] / big, 0);
		}
		glp_set_row_bnds(lp, m + 1, GLP_FR, 0, 0);
		double t1 = 0, t2 = 0;
		int st = solve(lp, &t1);
		if (st == GLP_NOFEAS || st == GLP_UNDEF) {
			printf("infeasible,,%.6f,\n", t1);
		} else if (st != GLP_OPT) {
			printf("time,,%.6f,\n", t1);
		} else {
			long long grams = 0, cents = 0;
			for (int j = 0; j < n; j++)
				grams += g[j] * llround(glp_mip_col_val(lp, j + 1));
			for (int j = 0; j < n; j++) {
				ind[j + 1] = j + 1;
				val[j + 1] = g[j] / 1000.0;
				glp_set_obj_coef(lp, j + 1, c[j] / 100.0);
			}
			glp_set_mat_row(lp, m + 1, n, ind, val);
			glp_set_row_bnds(lp, m + 1, GLP_UP, 0, grams / 1000.0 + 1e-7);
			st = solve(lp, &t2);
			int ok = st == GLP_OPT;
			long long again = 0;
			for (int j = 0; j < n; j++) {
				cents += c[j] * llround(glp_mip_col_val(lp, j + 1));
				again += g[j] * llround(glp_mip_col_val(lp, j + 1));
			}
			for (int i = 0; ok && i < m; i++) {
				long long s = 0;
				for (int j = 0; j < n; j++)
					s += a[i * n + j] * llround(glp_mip_col_val(lp, j + 1));
				ok = s >= b[i];
			}
			if (ok && again == grams)
				printf("%lld,%lld,%.6f,%.6f\n", grams, cents, t1, t2);
			else
				printf("wrong %lld %d,%lld,%.6f,%.6f\n", grams, st, cents, t1, t2);
		}
		fflush(stdout);
		glp_delete_prob(lp);
		free(up); free(g); free(c); free(a); free(b); free(ind); free(val);
	}
	return 0;
}
