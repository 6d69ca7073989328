// A path tracer of a rod on its mat. Built by nvcc for a GPU, or as C++ for the CPU:
//   nvcc -O3 -arch=sm_90 --use_fast_math -Xcompiler -fPIC -shared -o libtrace.so trace.cu
//   g++ -x c++ -O3 -march=native -ffast-math -fopenmp -fPIC -shared -o libtrace.so trace.cu
// Next event estimation for the sun, area lights and panorama; mirror-like lobes see lights by their own rays.
// GGX: Walter et al. 2007; sampling of visible normals: Heitz 2018.
#include "surface.h"
#include <algorithm>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <vector>

struct Random {
  uint32_t state;
  HD float next() { state = state * 747796405u + 2891336453u; uint32_t w = ((state >> ((state >> 28) + 4)) ^ state) * 277803737u; return ((w >> 22) ^ w) * (1.0f / 4294967296.0f); }
};

HD void frameOf(V3 n, V3& a, V3& b) {
  const float sign = n.z >= 0 ? 1.f : -1.f, k = -1 / (sign + n.z), c = n.x * n.y * k;
  a = v3(1 + sign * n.x * n.x * k, sign * c, -sign * n.x); b = v3(c, sign + n.y * n.y * k, -n.y);
}
HD void envTexel(const Scene& s, V3 d, int& x, int& y) {
  float a = (atan2f(d.y, d.x) + s.g[G_ENV_ROT]) * 0.15915494f; a -= floorf(a);
  x = (int)fminf(a * s.envW, s.envW - 1.f); y = (int)fminf(acosf(clampf(d.z, -1, 1)) * 0.31830989f * s.envH, s.envH - 1.f);
}
HD V3 envRadiance(const Scene& s, V3 d) {
  int x, y; envTexel(s, d, x, y);
  const float* q = s.env + ((size_t)y * s.envW + x) * 3;
  return v3(q[0], q[1], q[2]);
}
// The mat and most of what is seen face up: the panorama is sampled by luminance times this.
HD float facingUp(const Scene& s, int y) { return fmaxf(cosf((y + 0.5f) * 3.14159265f / s.envH), 0.f) + 0.08f; }
HD int findCell(const float* cumulative, int n, float u) {
  int lo = 0, hi = n - 1;
  while (lo < hi) { const int m = (lo + hi) >> 1; if (cumulative[m] < u) lo = m + 1; else hi = m; }
  return lo;
}
// A direction in proportion to the panorama's luminance and how far up it lies; returns radiance / density.
HD V3 sampleEnv(const Scene& s, Random& r, float a1, float a2, V3& d) {
  const int y = findCell(s.envRow, s.envH, a1 * s.envTotal);
  const float* col = s.envCol + (size_t)y * s.envW;
  const int x = findCell(col, s.envW, a2 * col[s.envW - 1]);
  const float* q = s.env + ((size_t)y * s.envW + x) * 3;
  const V3 L = v3(q[0], q[1], q[2]);
  const float c0 = cosf(y * 3.14159265f / s.envH), c1 = cosf((y + 1) * 3.14159265f / s.envH), z = c0 + (c1 - c0) * r.next();
  const float a = (x + r.next()) * 6.2831853f / s.envW - s.g[G_ENV_ROT], k = sqrtf(fmaxf(0.f, 1 - z * z));
  d = v3(k * cosf(a), k * sinf(a), z);
  return L * (s.envTotal / fmaxf(lum(L) * facingUp(s, y), 1e-9f));
}

HD float ggxLambda(float alpha2, float c) { return 0.5f * (sqrtf(1 + alpha2 * (1 - c * c) / fmaxf(c * c, 1e-6f)) - 1); }
HD V3 fresnel(V3 f0, float c) { const float m = clampf(1 - c, 0, 1), m2 = m * m, k = m2 * m2 * m; return f0 + (v3(1, 1, 1) - f0) * k; }
// Cosine-weighted reflectance towards l of both lobes.
HD V3 reflect(const Surface& o, V3 v, V3 l, float alpha, bool specular) {
  const float cl = dot(o.n, l), cv = fmaxf(dot(o.n, v), 1e-3f);
  if (cl <= 0) return v3(0, 0, 0);
  const V3 h = unit(v + l), F = fresnel(o.f0, dot(v, h));
  V3 r = o.kd * (v3(1, 1, 1) - F) * (cl * 0.31830989f);
  if (specular) {
    const float ch = dot(o.n, h), a2 = alpha * alpha, q = ch * ch * (a2 - 1) + 1, D = a2 / (3.14159265f * q * q);
    r = r + F * (D / (1 + ggxLambda(a2, cl) + ggxLambda(a2, cv)) / (4 * cv));
  }
  return r;
}
HD V3 sampleGgx(V3 n, V3 v, float alpha, Random& r) {
  V3 a, b; frameOf(n, a, b);
  const V3 ve = unit(v3(alpha * dot(v, a), alpha * dot(v, b), fmaxf(dot(v, n), 1e-3f)));
  V3 t1, t2; const float l2 = ve.x * ve.x + ve.y * ve.y;
  t1 = l2 > 1e-9f ? v3(-ve.y, ve.x, 0) * (1 / sqrtf(l2)) : v3(1, 0, 0); t2 = cross(ve, t1);
  const float u = sqrtf(r.next()), ph = 6.2831853f * r.next(), x = u * cosf(ph), k = 0.5f * (1 + ve.z);
  const float y = (1 - k) * sqrtf(fmaxf(0.f, 1 - x * x)) + k * u * sinf(ph);
  const V3 nh = t1 * x + t2 * y + ve * sqrtf(fmaxf(0.f, 1 - x * x - y * y));
  return unit(a * (alpha * nh.x) + b * (alpha * nh.y) + n * fmaxf(0.f, nh.z));
}

HD bool lit(const Scene& s, V3 o, V3 d, float tMax) { Hit h; h.t = tMax; return !traverse(s, o, d, 1e-3f, true, h); }

// Area lights along a ray.
HD bool hitLight(const Scene& s, V3 o, V3 d, float tMax, V3& L) {
  bool found = false;
  for (int i = 0; i < s.nLights; i++) {
    const Light& q = s.lights[i];
    const V3 u = v3(q.u[0], q.u[1], q.u[2]), v = v3(q.v[0], q.v[1], q.v[2]), n = cross(u, v), c = v3(q.centre[0], q.centre[1], q.centre[2]);
    const float dn = dot(d, n);
    if (dn >= 0) continue;
    const float t = dot(c - o, n) / dn;
    if (t <= 0 || t >= tMax) continue;
    const V3 w = o + d * t - c;
    const float a = dot(w, u) / dot(u, u), b = dot(w, v) / dot(v, v);
    if (q.type == DISC ? a * a + b * b > 1 : (fabsf(a) > 1 || fabsf(b) > 1)) continue;
    L = v3(q.radiance[0], q.radiance[1], q.radiance[2]); tMax = t; found = true;
  }
  return found;
}

// Low-discrepancy numbers for a path's first light samples (Roberts 2018, the plastic number's sequences), turned by a random offset a pixel.
struct Spread { float a, b, c, d, e, f; };
HD float part(float x) { return x - floorf(x); }
HD Spread spreadOf(int k, const Spread& off) {
  Spread s; const float n = k + 1.f;
  s.a = part(off.a + n * 0.75487766f); s.b = part(off.b + n * 0.56984029f); s.c = part(off.c + n * 0.85667488f);
  s.d = part(off.d + n * 0.73389186f); s.e = part(off.e + n * 0.81917251f); s.f = part(off.f + n * 0.67104360f);
  return s;
}
struct Direct { V3 seen; float key, blocked, soft; };
HD Direct direct(const Scene& s, const Surface& o, V3 p, V3 v, Random& r, float alpha, const Spread* spread) {
  Direct e; e.seen = v3(0, 0, 0); e.key = e.blocked = e.soft = 0;
  const V3 from = p + o.n * 0.004f;
  const bool rough = o.roughness > 0.3f;
  const bool all = spread != nullptr;
  const V3 sun = v3(s.g[G_SUN_RGB], s.g[G_SUN_RGB + 1], s.g[G_SUN_RGB + 2]);
  if (lum(sun) > 0) {
    const V3 c = v3(s.g[0], s.g[1], s.g[2]); V3 a, b; frameOf(c, a, b);
    const float z = 1 - (all ? spread->a : r.next()) * (1 - s.g[G_SUN_COS]), k = sqrtf(fmaxf(0.f, 1 - z * z)), ph = 6.2831853f * (all ? spread->b : r.next());
    const V3 l = unit(a * (k * cosf(ph)) + b * (k * sinf(ph)) + c * z);
    const V3 f = reflect(o, v, l, fmaxf(alpha, 0.02f), true) * sun;
    if (lum(f) > 0) { const float e0 = lum(sun) * fmaxf(dot(o.n, l), 0.f); e.key += e0; if (lit(s, from, l, 1e9f)) e.seen = e.seen + f; else e.blocked += e0; }
  }
  for (int i = 0; i < s.nLights; i++) {
    int k = i; float weight = 1;
    if (!all) { k = (int)fminf(r.next() * s.nLights, s.nLights - 1.f); weight = s.nLights; }
    const Light& q = s.lights[k];
    const V3 u = v3(q.u[0], q.u[1], q.u[2]), w = v3(q.v[0], q.v[1], q.v[2]);
    float a = 2 * (all ? part(spread->a + 0.37f * i) : r.next()) - 1, b = 2 * (all ? part(spread->b + 0.61f * i) : r.next()) - 1, area = 4;
    if (q.type == DISC) { const float rad = sqrtf(0.5f * (a + 1)), ph = 3.14159265f * b; a = rad * cosf(ph); b = rad * sinf(ph); area = 3.14159265f; }
    const V3 n = cross(u, w), to = v3(q.centre[0], q.centre[1], q.centre[2]) + u * a + w * b - from;
    const float d2 = dot(to, to), d = sqrtf(d2); const V3 l = to * (1 / d);
    const float cosLight = -dot(l, n);  // times |n| = area of a unit cell
    if (cosLight > 0) {
      const V3 E = v3(q.radiance[0], q.radiance[1], q.radiance[2]) * (weight * area * cosLight / d2);
      const V3 f = reflect(o, v, l, alpha, rough) * E;
      if (lum(f) > 0) { const float e0 = lum(E) * fmaxf(dot(o.n, l), 0.f); e.key += e0; if (lit(s, from, l, d * 0.999f)) e.seen = e.seen + f; else e.blocked += e0; }
    }
    if (!all) break;
  }
  V3 l; const V3 E = sampleEnv(s, r, all ? spread->c : r.next(), all ? spread->d : r.next(), l);
  const V3 f = reflect(o, v, l, alpha, rough) * E;
  if (lum(f) > 0) { const float e0 = lum(E) * dot(o.n, l); e.soft += e0; if (lit(s, from, l, 1e9f)) e.seen = e.seen + f; }
  return e;
}

struct PathResult { V3 light; int cls; float key, blocked, soft; };
HD PathResult path(const Scene& s, V3 o, V3 d, Random& r, const Spread& spread) {
  PathResult out; out.light = v3(0, 0, 0); out.cls = OTHER; out.key = out.blocked = out.soft = 0;
  V3 T = v3(1, 1, 1);
  bool mirror = true, dull = false;  // dull: some bounce was diffuse; glints seen by it are widened, or they would sparkle
  const int depth = (int)s.g[G_DEPTH];
  for (int i = 0; i <= depth; i++) {
    Hit h; h.t = 1e9f; h.prim = -1;
    bool found = traverse(s, o, d, 1e-3f, false, h);
    found = hitGround(s, o, d, 1e-3f, h) || found;
    V3 L;
    if (i > 0 && hitLight(s, o, d, h.t, L)) { if (mirror) out.light = out.light + T * L; break; }
    if (!found) { if (mirror) out.light = out.light + T * envRadiance(s, d); break; }
    const V3 p = o + d * h.t, v = d * -1.f;
    Surface f;
    if (h.prim < 0) groundSurface(s, h, p, f); else primitiveSurface(s, h, p, f);
    if (dot(f.n, v) < 0.02f) f.n = unit(f.n + v * (0.02f - dot(f.n, v)));
    if (i == 0) out.cls = f.cls;
    const float alpha = fmaxf(f.roughness * f.roughness, dull ? 0.2f : 0.0004f);
    const Direct e = direct(s, f, p, v, r, alpha, i == 0 ? &spread : nullptr);
    V3 add = T * e.seen;
    if (i > 0) { const float m = lum(add), top = s.g[G_CLAMP]; if (m > top) add = add * (top / m); }
    out.light = out.light + add;
    if (i == 0) { out.key = e.key; out.blocked = e.blocked; out.soft = e.soft; }
    if (i == depth) break;
    const V3 F = fresnel(f.f0, dot(f.n, v));
    const float ks = lum(F), kd = lum(f.kd) * (1 - ks), pick = kd < 1e-4f ? 1.f : clampf(ks / (ks + kd), ks > 0.015f ? 0.15f : 0.02f, 0.95f);
    if (r.next() < pick) {
      const V3 m = sampleGgx(f.n, v, alpha, r), l = m * (2 * dot(v, m)) - v;
      const float cl = dot(f.n, l), cv = fmaxf(dot(f.n, v), 1e-3f);
      if (cl <= 0) break;
      const float a2 = alpha * alpha, g = (1 + ggxLambda(a2, cv)) / (1 + ggxLambda(a2, cv) + ggxLambda(a2, cl));
      T = T * fresnel(f.f0, dot(v, m)) * (g / pick); d = l; mirror = f.roughness <= 0.3f;
    } else {
      V3 a, b; frameOf(f.n, a, b);
      const float u = i == 0 ? spread.e : r.next(), ph = 6.2831853f * (i == 0 ? spread.f : r.next()), k = sqrtf(u);
      d = unit(a * (k * cosf(ph)) + b * (k * sinf(ph)) + f.n * sqrtf(1 - u));
      T = T * f.kd * (v3(1, 1, 1) - F) * (1 / (1 - pick)); mirror = false; dull = true;
    }
    o = p + f.n * 0.004f;
    if (lum(T) < 0.003f) break;
  }
  const float m = lum(out.light), top = s.g[G_CLAMP] * 2;
  if (m > top) out.light = out.light * (top / m);
  return out;
}

HD void cameraRay(const Camera& c, float px, float py, V3& o, V3& d) {
  const float* q = c.field;
  const float fx = q[0] * cosf(q[1] * px + q[2] * py + q[3]) + q[8] * cosf(q[9] * px + q[10] * py + q[11]);
  const float fy = q[4] * cosf(q[5] * px + q[6] * py + q[7]) + q[8] * sinf(q[9] * px + q[10] * py + q[11]);
  const float xd = (px - fx - c.cx) / c.fx, yd = (py - fy - c.cy) / c.fy;
  float x = xd, y = yd;
  for (int i = 0; i < 6; i++) {
    const float r2 = x * x + y * y, radial = 1 + r2 * (c.k[0] + r2 * (c.k[1] + r2 * c.k[4]));
    x = (xd - (2 * c.k[2] * x * y + c.k[3] * (r2 + 2 * x * x))) / radial;
    y = (yd - (c.k[2] * (r2 + 2 * y * y) + 2 * c.k[3] * x * y)) / radial;
  }
  d = unit(v3(c.R[0] * x + c.R[3] * y + c.R[6], c.R[1] * x + c.R[4] * y + c.R[7], c.R[2] * x + c.R[5] * y + c.R[8]));
  o = v3(c.C[0], c.C[1], c.C[2]);
}
HD float bandDistance(const Camera& c, float px, float py) {
  const float dx = c.lineB[0] - c.lineA[0], dy = c.lineB[1] - c.lineA[1];
  return fabsf((px - c.lineA[0]) * dy - (py - c.lineA[1]) * dx) / fmaxf(sqrtf(dx * dx + dy * dy), 1e-6f);
}

HD void pixel(const Scene& s, const Camera& c, int i, int j, int w, int near, int far, float nearBand, uint32_t seed, float* rgb, uint8_t* cls) {
  const float px = c.x0 + i, py = c.y0 + j;
  const size_t at = (size_t)j * w + i;
  const float away = c.band > 0 ? bandDistance(c, px, py) : 0;
  rgb[3 * at] = rgb[3 * at + 1] = rgb[3 * at + 2] = 0; cls[at] = 255;
  if (c.band > 0 && away > c.band) return;
  const int n = away <= nearBand ? near : far;
  Random r; r.state = hashInt(seed ^ hashInt((uint32_t)at * 9781u + 17u));
  Spread offset; offset.a = r.next(); offset.b = r.next(); offset.c = r.next(); offset.d = r.next(); offset.e = r.next(); offset.f = r.next();
  V3 sum = v3(0, 0, 0); float key = 0, blocked = 0, soft = 0;
  int votes[14]; for (int k = 0; k < 14; k++) votes[k] = 0;
  const int side = (int)(sqrtf((float)n) + 0.5f);
  for (int k = 0; k < n; k++) {
    float u = r.next(), v = r.next();
    if (k < side * side) { u = (k % side + u) / side; v = (k / side + v) / side; }
    V3 o, d; cameraRay(c, px + u - 0.5f, py + v - 0.5f, o, d);
    const PathResult q = path(s, o, d, r, spreadOf(k, offset));
    sum = sum + q.light; key += q.key; blocked += q.blocked; soft += q.soft;
    if (q.cls >= 0 && q.cls < 14) votes[q.cls]++;
  }
  rgb[3 * at] = sum.x / n; rgb[3 * at + 1] = sum.y / n; rgb[3 * at + 2] = sum.z / n;
  int best = 0; for (int k = 1; k < 14; k++) if (votes[k] > votes[best] || (votes[k] == votes[best] && k > 4)) best = k;
  if (best == PAPER && blocked > s.g[G_SHADOW] * (key + soft)) best = SHADOW;
  cls[at] = (uint8_t)best;
}

#include "build.h"

#ifdef __CUDACC__
__global__ void renderKernel(Scene s, Camera c, int w, int h, int near, int far, float nearBand, uint32_t seed, float* rgb, uint8_t* cls) {
  const int i = blockIdx.x * blockDim.x + threadIdx.x, j = blockIdx.y * blockDim.y + threadIdx.y;
  if (i < w && j < h) pixel(s, c, i, j, w, near, far, nearBand, seed, rgb, cls);
}
#endif

// rgb: float h x w x 3, linear. cls: h x w, 255 outside the band. near and far: paths a pixel within nearBand px of the line and beyond.
extern "C" int trace_render(void* handle, const float* camera, int w, int h, int near, int far, float nearBand, unsigned seed, float* rgb, unsigned char* cls) {
  const BuiltScene* b = (const BuiltScene*)handle;
  Camera c; memcpy(&c, camera, sizeof(Camera));
#ifdef __CUDACC__
  static float* dRgb = nullptr; static uint8_t* dCls = nullptr; static size_t room = 0;
  const size_t n = (size_t)w * h;
  if (n > room) { cudaFree(dRgb); cudaFree(dCls); room = 0; if (cudaMalloc((void**)&dRgb, n * 12) || cudaMalloc((void**)&dCls, n)) return 1; room = n; }
  const dim3 block(8, 8), grid((w + 7) / 8, (h + 7) / 8);
  renderKernel<<<grid, block>>>(b->view, c, w, h, near, far, nearBand, seed, dRgb, dCls);
  if (cudaMemcpy(rgb, dRgb, n * 12, cudaMemcpyDeviceToHost)) return 2;
  if (cudaMemcpy(cls, dCls, n, cudaMemcpyDeviceToHost)) return 3;
#else
  #pragma omp parallel for schedule(dynamic, 4)
  for (int j = 0; j < h; j++) for (int i = 0; i < w; i++) pixel(b->view, c, i, j, w, near, far, nearBand, seed, rgb, cls);
#endif
  return 0;
}
// What a ray from each origin towards each target meets first: the object's id (-1: ground or nothing) and how far off, as a part of the way.
HD void look(const Scene& s, const float* from, const float* to, float* out) {
  const V3 o = v3(from[0], from[1], from[2]), d = v3(to[0], to[1], to[2]) - o;
  Hit h; h.t = 1e9f; h.prim = -1;
  const bool found = traverse(s, o, unit(d), 1e-3f, false, h);
  out[0] = found ? s.prims[h.prim].id : -1; out[1] = found ? h.t / norm(d) : 1e9f;
}
#ifdef __CUDACC__
__global__ void lookKernel(Scene s, const float* from, const float* to, int n, float* out) {
  const int i = blockIdx.x * blockDim.x + threadIdx.x;
  if (i < n) look(s, from + 3 * i, to + 3 * i, out + 2 * i);
}
#endif
extern "C" int trace_look(void* handle, const float* from, const float* to, int n, float* out) {
  const BuiltScene* b = (const BuiltScene*)handle;
#ifdef __CUDACC__
  float *dFrom = nullptr, *dTo = nullptr, *dOut = nullptr;
  if (cudaMalloc((void**)&dFrom, n * 12) || cudaMalloc((void**)&dTo, n * 12) || cudaMalloc((void**)&dOut, n * 8)) return 1;
  cudaMemcpy(dFrom, from, n * 12, cudaMemcpyHostToDevice); cudaMemcpy(dTo, to, n * 12, cudaMemcpyHostToDevice);
  lookKernel<<<(n + 63) / 64, 64>>>(b->view, dFrom, dTo, n, dOut);
  const int rc = cudaMemcpy(out, dOut, n * 8, cudaMemcpyDeviceToHost) ? 2 : 0;
  cudaFree(dFrom); cudaFree(dTo); cudaFree(dOut);
  return rc;
#else
  for (int i = 0; i < n; i++) look(b->view, from + 3 * i, to + 3 * i, out + 2 * i);
  return 0;
#endif
}
extern "C" int trace_camera_floats() { return (int)(sizeof(Camera) / 4); }
