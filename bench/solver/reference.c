#include "reference.h"
#include <dmumps_c.h>
#include <stdlib.h>
#include <string.h>
#include <suitesparse/cholmod.h>

extern void openblas_set_num_threads(int);
extern char *openblas_get_corename(void);

struct reference {
  int library, ordering, n, threads;
  // CHOLMOD
  cholmod_common common;
  cholmod_sparse a;
  cholmod_factor *l;
  // MUMPS
  DMUMPS_STRUC_C id;
  int *irn, *jcn;
};

const char *reference_kernel(void) { return openblas_get_corename(); }

static void mumps(reference *r, int job) {
  r->id.job = job;
  dmumps_c(&r->id);
}

static void start_mumps(reference *r, int *colptr, int *row, double *val) {
  r->id.sym = 1;
  r->id.par = 1;
  r->id.comm_fortran = -987654;
  mumps(r, -1);
  for (int k = 0; k < 4; k++) r->id.icntl[k] = k == 3 ? 0 : -1;
  r->id.icntl[6] = r->ordering ? 5 : 0;
  r->id.icntl[15] = r->threads;
  r->id.n = r->n;
  r->id.nnz = colptr[r->n];
  r->irn = malloc(sizeof(int) * colptr[r->n]);
  r->jcn = malloc(sizeof(int) * colptr[r->n]);
  for (int j = 0; j < r->n; j++)
    for (int p = colptr[j]; p < colptr[j + 1]; p++) r->irn[p] = row[p] + 1, r->jcn[p] = j + 1;
  r->id.irn = r->irn;
  r->id.jcn = r->jcn;
  r->id.a = val;
}

static void start_cholmod(reference *r, int *colptr, int *row, double *val) {
  cholmod_start(&r->common);
  r->common.supernodal = CHOLMOD_SUPERNODAL;
  r->common.nmethods = 1;
  r->common.method[0].ordering = r->ordering ? CHOLMOD_METIS : CHOLMOD_AMD;
  r->common.postorder = 1;
  memset(&r->a, 0, sizeof r->a);
  r->a.nrow = r->a.ncol = r->n;
  r->a.nzmax = colptr[r->n];
  r->a.p = colptr;
  r->a.i = row;
  r->a.x = val;
  r->a.stype = -1;
  r->a.itype = CHOLMOD_INT;
  r->a.xtype = CHOLMOD_REAL;
  r->a.dtype = CHOLMOD_DOUBLE;
  r->a.sorted = r->a.packed = 1;
}

reference *reference_new(int library, int ordering, int threads, int n, int *colptr, int *row, double *val) {
  reference *r = calloc(1, sizeof *r);
  r->library = library, r->ordering = ordering, r->threads = threads, r->n = n;
  openblas_set_num_threads(threads);
  if (library)
    start_mumps(r, colptr, row, val);
  else
    start_cholmod(r, colptr, row, val);
  return r;
}

int reference_analyze(reference *r) {
  openblas_set_num_threads(r->threads);
  if (r->library) return mumps(r, 1), r->id.infog[0] < 0;
  r->l = cholmod_analyze(&r->a, &r->common);
  return r->l == 0;
}

int reference_factor(reference *r) {
  openblas_set_num_threads(r->threads);
  if (r->library) return mumps(r, 2), r->id.infog[0] < 0;
  return !cholmod_factorize(&r->a, r->l, &r->common) || r->common.status != CHOLMOD_OK;
}

int reference_solve(reference *r, double *b, int columns) {
  openblas_set_num_threads(r->threads);
  if (r->library) {
    r->id.rhs = b, r->id.nrhs = columns, r->id.lrhs = r->n;
    r->id.icntl[26] = columns < 32 ? columns : 32;
    return mumps(r, 3), r->id.infog[0] < 0;
  }
  cholmod_dense d = {.nrow = r->n, .ncol = columns, .nzmax = (size_t)r->n * columns, .d = r->n, .x = b, .xtype = CHOLMOD_REAL, .dtype = CHOLMOD_DOUBLE};
  cholmod_dense *x = cholmod_solve(CHOLMOD_A, r->l, &d, &r->common);
  if (!x) return 1;
  memcpy(b, x->x, sizeof(double) * r->n * columns);
  cholmod_free_dense(&x, &r->common);
  return 0;
}

double reference_fill(reference *r) {
  if (r->library) return r->id.infog[19] < 0 ? -1e6 * r->id.infog[19] : r->id.infog[19];
  return r->common.lnz;
}

void reference_free(reference *r) {
  if (r->library) {
    mumps(r, -2);
    free(r->irn), free(r->jcn);
  } else {
    cholmod_free_factor(&r->l, &r->common);
    cholmod_finish(&r->common);
  }
  free(r);
}
