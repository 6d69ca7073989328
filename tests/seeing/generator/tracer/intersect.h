// Rays against primitives: exact quadrics for cones and boxes, sphere tracing for rounded rings. The ray's origin is first moved next to
// the primitive, so that single precision holds 1 micrometre from a camera 1.5 m away.
#pragma once
#include "scene.h"

HD V3 mulPoint(const float* m, V3 p) {
  return v3(m[0] * p.x + m[1] * p.y + m[2] * p.z + m[3], m[4] * p.x + m[5] * p.y + m[6] * p.z + m[7], m[8] * p.x + m[9] * p.y + m[10] * p.z + m[11]);
}
HD V3 mulDir(const float* m, V3 d) {
  return v3(m[0] * d.x + m[1] * d.y + m[2] * d.z, m[4] * d.x + m[5] * d.y + m[6] * d.z, m[8] * d.x + m[9] * d.y + m[10] * d.z);
}
HD V3 mulNormal(const float* m, V3 n) {  // transpose: normals of an affine local frame
  return unit(v3(m[0] * n.x + m[4] * n.y + m[8] * n.z, m[1] * n.x + m[5] * n.y + m[9] * n.z, m[2] * n.x + m[6] * n.y + m[10] * n.z));
}

HD bool hitCone(const float* p, V3 o, V3 d, float& t, V3& n) {
  const float L = p[0], r0 = p[1], k = (p[2] - p[1]) / p[0];
  const float r = r0 + k * o.x;
  const float A = d.y * d.y + d.z * d.z - k * k * d.x * d.x, B = o.y * d.y + o.z * d.z - k * d.x * r, C = o.y * o.y + o.z * o.z - r * r;
  bool found = false;
  const float h = B * B - A * C;
  if (h > 0 && A > 1e-12f) {
    const float tt = (-B - sqrtf(h)) / A, x = o.x + tt * d.x;
    if (x >= 0 && x <= L) { t = tt; const float rr = r0 + k * x; n = v3(-k * rr, o.y + tt * d.y, o.z + tt * d.z); found = true; }
  }
  if (!found && fabsf(d.x) > 1e-9f) {
    const float xc = d.x > 0 ? 0 : L, rc = d.x > 0 ? p[1] : p[2], tt = (xc - o.x) / d.x;
    const float y = o.y + tt * d.y, z = o.z + tt * d.z;
    if (y * y + z * z <= rc * rc) { t = tt; n = v3(d.x > 0 ? -1 : 1, 0, 0); found = true; }
  }
  return found;
}

// Inigo Quilez, "round cone - intersection" (MIT), for a cone from the origin along x.
HD bool hitRoundCone(const float* p, V3 o, V3 d, float& t, V3& n) {
  const float L = p[0], ra = p[1], rb = p[2], rr = ra - rb;
  const V3 ob = v3(o.x - L, o.y, o.z);
  const float m0 = L * L, m1 = L * o.x, m2 = L * d.x, m3 = dot(d, o), m5 = dot(o, o), m6 = dot(ob, d), m7 = dot(ob, ob);
  const float d2 = m0 - rr * rr, k2 = d2 - m2 * m2, k1 = d2 * m3 - m1 * m2 + m2 * rr * ra, k0 = d2 * m5 - m1 * m1 + m1 * rr * ra * 2 - m0 * ra * ra;
  const float h = k1 * k1 - k0 * k2;
  if (h < 0) return false;
  if (fabsf(k2) > 1e-9f) {
    const float tt = (-sqrtf(h) - k1) / k2, y = m1 - ra * rr + tt * m2;
    if (y > 0 && y < d2) { t = tt; V3 q = (o + d * tt) * d2; q.x -= L * y; n = q; return true; }
  }
  const float h1 = m3 * m3 - m5 + ra * ra, h2 = m6 * m6 - m7 + rb * rb;
  float best = 1e20f;
  if (h1 > 0) { best = -m3 - sqrtf(h1); n = o + d * best; }
  if (h2 > 0) { const float tt = -m6 - sqrtf(h2); if (tt < best) { best = tt; n = ob + d * tt; } }
  t = best;
  return best < 1e19f;
}

HD bool hitBox(const float* p, V3 o, V3 d, float& t, V3& n) {
  const float ix = 1 / (fabsf(d.x) < 1e-9f ? 1e-9f : d.x), iy = 1 / (fabsf(d.y) < 1e-9f ? 1e-9f : d.y), iz = 1 / (fabsf(d.z) < 1e-9f ? 1e-9f : d.z);
  const float ax = -o.x * ix, ay = -o.y * iy, az = -o.z * iz, bx = fabsf(ix) * p[0], by = fabsf(iy) * p[1], bz = fabsf(iz) * p[2];
  const float tn = fmaxf(fmaxf(ax - bx, ay - by), az - bz), tf = fminf(fminf(ax + bx, ay + by), az + bz);
  if (tn > tf) return false;
  t = tn;
  n = tn == ax - bx ? v3(ix > 0 ? -1 : 1, 0, 0) : tn == ay - by ? v3(0, iy > 0 ? -1 : 1, 0) : v3(0, 0, iz > 0 ? -1 : 1);
  return true;
}

HD bool hitRing(const float* p, V3 o, V3 d, float tMin, float reach, float& t, V3& n) {
  const float R = p[0], a = p[1] - p[3], b = p[2] - p[3];
  const float B = dot(o, d), C = dot(o, o) - reach * reach, h = B * B - C;
  if (h < 0) return false;
  const float tf = -B + sqrtf(h);
  t = fmaxf(-B - sqrtf(h), tMin);
  for (int i = 0; i < 64 && t < tf; i++) {
    const V3 q = o + d * t;
    const float rho = sqrtf(q.y * q.y + q.z * q.z), qx = fabsf(rho - R) - a, qy = fabsf(q.x) - b;
    const float ox = fmaxf(qx, 0.f), oy = fmaxf(qy, 0.f), len = sqrtf(ox * ox + oy * oy);
    const float dist = len + fminf(fmaxf(qx, qy), 0.f) - p[3];
    if (dist < 0.002f) {
      float nr = len > 0 ? ox / len : (qx > qy ? 1.f : 0.f), nx = len > 0 ? oy / len : (qx > qy ? 0.f : 1.f);
      nr *= rho > R ? 1.f : -1.f;
      const float ir = 1 / fmaxf(rho, 1e-6f);
      n = v3(q.x > 0 ? nx : -nx, nr * q.y * ir, nr * q.z * ir);
      return dot(n, d) < 0;
    }
    t += fmaxf(dist, 0.002f);
  }
  return false;
}

// Nearest entry beyond tMin; hit.t holds the farthest t of interest on entry.
HD bool hitPrimitive(const Primitive& q, V3 o, V3 d, float tMin, Hit& hit) {
  const V3 c = v3(q.centre[0], q.centre[1], q.centre[2]);
  const float tc = dot(c - o, d);
  const V3 near = o + d * tc;
  const V3 off = near - c;
  if (dot(off, off) > q.reach * q.reach) return false;
  V3 lo = mulPoint(q.m, near), ld = mulDir(q.m, d);
  const float stretch = 1 / norm(ld);
  ld = ld * stretch;
  float t; V3 n;
  const int type = (int)q.type;
  bool ok;
  if (type == CONE || type == BLANK) ok = hitCone(q.p, lo, ld, t, n);
  else if (type == ROUND_CONE) ok = hitRoundCone(q.p, lo, ld, t, n);
  else if (type == BOX) ok = hitBox(q.p, lo, ld, t, n);
  else ok = hitRing(q.p, lo, ld, tMin - tc, q.reach, t, n);
  if (!ok) return false;
  const float tw = tc + t * stretch;
  if (tw <= tMin || tw >= hit.t) return false;
  hit.t = tw; hit.n = mulNormal(q.m, n); hit.local = lo + ld * t;
  return true;
}

HD bool hitNode(const Node& b, V3 o, V3 inv, float tMax) {
  const float x0 = (b.lo[0] - o.x) * inv.x, x1 = (b.hi[0] - o.x) * inv.x, y0 = (b.lo[1] - o.y) * inv.y, y1 = (b.hi[1] - o.y) * inv.y;
  const float z0 = (b.lo[2] - o.z) * inv.z, z1 = (b.hi[2] - o.z) * inv.z;
  const float n = fmaxf(fmaxf(fminf(x0, x1), fminf(y0, y1)), fminf(z0, z1)), f = fminf(fminf(fmaxf(x0, x1), fmaxf(y0, y1)), fmaxf(z0, z1));
  return f >= fmaxf(n, 0.f) && n < tMax;
}
HD float safe(float x) { return fabsf(x) < 1e-12f ? 1e-12f : x; }

// any: stop at the first hit (shadow rays).
HD bool traverse(const Scene& s, V3 o, V3 d, float tMin, bool any, Hit& hit) {
  if (!s.nNodes) return false;
  const V3 inv = v3(1 / safe(d.x), 1 / safe(d.y), 1 / safe(d.z));
  int stack[32], top = 0, at = 0;
  bool found = false;
  if (!hitNode(s.nodes[0], o, inv, hit.t)) return false;
  for (;;) {
    const Node& b = s.nodes[at];
    if (b.count) {
      for (int i = 0; i < b.count; i++) {
        const int k = s.order[b.first + i];
        if (hitPrimitive(s.prims[k], o, d, tMin, hit)) { hit.prim = k; found = true; if (any) return true; }
      }
    } else {
      const bool l = hitNode(s.nodes[b.first], o, inv, hit.t), r = hitNode(s.nodes[b.first + 1], o, inv, hit.t);
      if (l && r) { stack[top++] = b.first + 1; at = b.first; continue; }
      if (l || r) { at = l ? b.first : b.first + 1; continue; }
    }
    if (!top) break;
    at = stack[--top];
  }
  return found;
}

HD const Tile* tileAt(const Scene& s, float x, float y, float& u, float& v) {
  for (int i = 0; i < s.nTiles; i++) {
    const Tile& t = s.tiles[i];
    const float dx = x - t.x, dy = y - t.y;
    if (fabsf(dx) > t.w * 0.52f + 4) continue;
    u = dx * t.c + dy * t.s; v = -dx * t.s + dy * t.c;
    if (fabsf(u) <= t.w / 2 && fabsf(v) <= t.h / 2) return &t;
  }
  return nullptr;
}
HD float paperHeight(const Scene& s, const Tile* t, float x, float y, float u, float v, V3* n) {
  float z = t->z, gx = 0, gy = 0;
  const float* w = s.g + G_WAVE;
  for (int i = 0; i < 4; i++, w += 4) {
    const float a = w[0] * x + w[1] * y + w[2], c = cosf(a) * w[3];
    z += (sinf(a) + 1) * w[3]; gx += c * w[0]; gy += c * w[1];
  }
  for (int i = 0; i < 4; i++) {
    if (t->curl[i] == 0) continue;
    const float du = (i & 1 ? t->w / 2 - u : u + t->w / 2), dv = (i & 2 ? t->h / 2 - v : v + t->h / 2), e = t->curl[i] * expf(-(du + dv) / 22);
    z += e; gx += e * (i & 1 ? 1.f : -1.f) / 22; gy += e * (i & 2 ? 1.f : -1.f) / 22;
  }
  if (n) *n = unit(v3(-gx, -gy, 1));
  return z;
}

// The pages, or the bench (z = 0) where there are none. hit.local = (u, v, 1) on a page, tile number in hit.prim as -2 - tile.
HD bool hitGround(const Scene& s, V3 o, V3 d, float tMin, Hit& hit) {
  if (d.z >= -1e-6f) return false;
  float z = 0.1f, t = 0, u = 0, v = 0;
  const Tile* tile = nullptr;
  for (int i = 0; i < 4; i++) {
    t = (z - o.z) / d.z;
    tile = tileAt(s, o.x + d.x * t, o.y + d.y * t, u, v);
    if (!tile) break;
    z = paperHeight(s, tile, o.x + d.x * t, o.y + d.y * t, u, v, nullptr);
  }
  if (tile) {
    if (t <= tMin || t >= hit.t) return false;
    hit.t = t; hit.prim = -2 - (int)(tile - s.tiles); hit.local = v3(u, v, 1);
    paperHeight(s, tile, o.x + d.x * t, o.y + d.y * t, u, v, &hit.n);
    return true;
  }
  t = -o.z / d.z;
  if (t <= tMin || t >= hit.t) return false;
  hit.t = t; hit.prim = -1; hit.n = v3(0, 0, 1); hit.local = v3(0, 0, 0);
  return true;
}
