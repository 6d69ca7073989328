// What a hit shows: colour, gloss, small relief, class.
#pragma once
#include "intersect.h"

enum Class { PAPER = 0, BLANK_CLASS = 1, SHADOW = 2, PRINTED = 3, GRIP = 4, TAPE = 5, THREAD = 6, WAX = 7, FRAME = 8, RING_CLASS = 9,
             SNAKE = 10, TIP_TOP = 11, OTHER = 12, TAG = 13 };
enum Pattern { PLAIN = 0, THREAD_TURNS = 1, CREPE = 2, CORK = 3, FOAM = 4, WOOD = 5, SEAT_CARD = 6, BRUSHED = 7, SKIN_TONE = 8, TICKS = 9,
               WEAVE = 10 };

struct Surface { V3 kd, f0, n; float roughness; int cls; };

HD uint32_t hashInt(uint32_t x) { x ^= x >> 16; x *= 0x7feb352du; x ^= x >> 15; x *= 0x846ca68bu; x ^= x >> 16; return x; }
HD float cellNoise(int x, int y, int z) { return hashInt((uint32_t)x * 73856093u ^ (uint32_t)y * 19349663u ^ (uint32_t)z * 83492791u) * (1.0f / 4294967296.0f); }
HD float noise3(V3 p) {
  const float fx = floorf(p.x), fy = floorf(p.y), fz = floorf(p.z);
  const int x = (int)fx, y = (int)fy, z = (int)fz;
  float u = p.x - fx, v = p.y - fy, w = p.z - fz;
  u = u * u * (3 - 2 * u); v = v * v * (3 - 2 * v); w = w * w * (3 - 2 * w);
  float r = 0;
  for (int i = 0; i < 8; i++)
    r += cellNoise(x + (i & 1), y + (i >> 1 & 1), z + (i >> 2)) * (i & 1 ? u : 1 - u) * (i & 2 ? v : 1 - v) * (i & 4 ? w : 1 - w);
  return r;
}

HD void texel(const uint8_t* t, int w, int h, int ch, float x, float y, bool wrapX, bool wrapY, float* out) {
  x -= 0.5f; y -= 0.5f;
  const int x0 = (int)floorf(x), y0 = (int)floorf(y);
  const float fx = x - x0, fy = y - y0;
  for (int c = 0; c < ch; c++) out[c] = 0;
  for (int i = 0; i < 4; i++) {
    int xi = x0 + (i & 1), yi = y0 + (i >> 1);
    xi = wrapX ? ((xi % w) + w) % w : (xi < 0 ? 0 : xi >= w ? w - 1 : xi);
    yi = wrapY ? ((yi % h) + h) % h : (yi < 0 ? 0 : yi >= h ? h - 1 : yi);
    const float k = (i & 1 ? fx : 1 - fx) * (i >> 1 ? fy : 1 - fy) / 255;
    const uint8_t* q = t + ((size_t)yi * w + xi) * ch;
    for (int c = 0; c < ch; c++) out[c] += q[c] * k;
  }
}

// 0 outside any tag, 1 black, 2 white inside the tag's square; centre frame, u right, v up.
HD int tagCell(const uint8_t* bits, int id, float u, float v, float side) {
  const float cell = side / 8, a = (u + side / 2) / cell, b = (side / 2 - v) / cell;
  if (a < 0 || b < 0 || a >= 8 || b >= 8) return 0;
  return bits[id * 64 + (int)b * 8 + (int)a] ? 2 : 1;
}
HD bool onBar(float u, float v) {  // 100 mm between the outer edges of the end ticks, 0.4 mm lines, 4 mm ticks
  return (fabsf(u) <= 50 && fabsf(v) <= 0.2f) || (fabsf(fabsf(u) - 49.8f) <= 0.2f && fabsf(v) <= 2);
}

HD void paperSurface(const Scene& s, const Tile& t, const Hit& h, V3 p, Surface& o) {
  const float u = h.local.x / t.su, v = h.local.y / t.sv;
  o.kd = v3(s.g[G_PAPER], s.g[G_PAPER + 1], s.g[G_PAPER + 2]); o.f0 = v3(0.02f, 0.02f, 0.02f); o.roughness = s.g[G_PAPER_ROUGH]; o.cls = PAPER; o.n = h.n;
  const V3 ink = v3(s.g[G_INK], s.g[G_INK + 1], s.g[G_INK + 2]);
  const int col = (int)floorf((u + 125) / 50), row = v > 0 ? 0 : 1;
  if (fabsf(v) > 55 && col >= 0 && col < 5) {
    const int cell = tagCell(s.tagBits, (int)t.number * 10 + row * 5 + col, u + 100 - col * 50, v - (row ? -72 : 72), 24);
    if (cell) o.cls = TAG;
    if (cell == 1) o.kd = ink;
  } else if (t.bars > 0 && (onBar(u, v + 52) || onBar(v, -(u + 125)))) { o.kd = ink; o.cls = PRINTED; }
  (void)p;
}

HD void groundSurface(const Scene& s, const Hit& h, V3 p, Surface& o) {
  if (h.prim <= -2) paperSurface(s, s.tiles[-2 - h.prim], h, p, o);
  else {
    float c[3];
    const float a = s.g[G_BENCH_ROT], ca = cosf(a), sa = sinf(a), x = p.x * ca + p.y * sa, y = -p.x * sa + p.y * ca;
    texel(s.bench, s.bW, s.bH, 3, x / s.bStep, y / s.bStep, true, true, c);
    o.kd = v3(c[0] * c[0], c[1] * c[1], c[2] * c[2]);
    o.f0 = v3(1, 1, 1) * s.g[G_BENCH_F0]; o.roughness = s.g[G_BENCH_ROUGH]; o.cls = OTHER; o.n = h.n;
  }
  if (!s.ground) return;
  const float gx = (p.x - s.gX) / s.gStep, gy = (p.y - s.gY) / s.gStep;
  if (gx < 0 || gy < 0 || gx >= s.gW || gy >= s.gH) return;
  float c[4];
  texel(s.ground, s.gW, s.gH, 4, gx, gy, false, false, c);
  if (c[3] > 0) o.kd = mix(o.kd, v3(c[0] * c[0], c[1] * c[1], c[2] * c[2]), c[3]);
  const int k = s.groundCls[(size_t)gy * s.gW + (size_t)gx];
  if (k && (o.cls == PAPER || k == OTHER)) o.cls = k;
}

HD V3 bumped(V3 n, V3 along, float slope) { return unit(n - along * slope); }

HD void blankSurface(const Scene& s, const Primitive& q, const Hit& h, Surface& o) {
  const float k = h.local.x / q.p[0], at = q.p[3] + (q.p[4] - q.p[3]) * k;
  float roll = atan2f(h.local.z, h.local.y) + q.p[5];
  roll = roll * 0.15915494f; roll -= floorf(roll);
  float c[4];
  const float x = (at - s.sStart) / s.sStep, y = roll * s.sH;
  texel(s.skin, s.sW, s.sH, 4, x, y, false, true, c);
  o.kd = v3(c[0] * c[0], c[1] * c[1], c[2] * c[2]); o.roughness = c[3];
  const int xi = (int)clampf(x, 0, s.sW - 1), yi = (int)clampf(y, 0, s.sH - 1);
  const int k2 = s.skinCls[(size_t)yi * s.sW + xi];
  o.cls = k2 ? k2 : BLANK_CLASS;
  const float f = k2 == WAX ? 0.03f : s.g[G_SKIN_F0];
  o.f0 = v3(f, f, f);
  if (s.g[G_SPIRAL_AMOUNT] > 0) {
    const float a = 6.2831853f * (at / s.g[G_SPIRAL_PERIOD] - roll), saw = sinf(a) + 0.4f * sinf(2 * a + 1);
    const V3 ax = unit(v3(q.m[0], q.m[1], q.m[2]));
    o.n = bumped(o.n, ax, s.g[G_SPIRAL_AMOUNT] * saw);
  }
}

HD void primitiveSurface(const Scene& s, const Hit& h, V3 p, Surface& o) {
  const Primitive& q = s.prims[h.prim];
  const Material& m = s.mats[(int)q.material];
  o.n = h.n; o.cls = (int)q.cls;
  if ((int)q.type == BLANK) { blankSurface(s, q, h, o); return; }
  o.kd = v3(m.kd[0], m.kd[1], m.kd[2]); o.f0 = v3(m.f0[0], m.f0[1], m.f0[2]); o.roughness = m.roughness;
  const V3 second = v3(m.kd2[0], m.kd2[1], m.kd2[2]);
  const V3 ax = unit(v3(q.m[0], q.m[1], q.m[2]));
  const V3 l = h.local;
  switch ((int)m.pattern) {
    case THREAD_TURNS: {
      const float a = 6.2831853f * l.x / m.period + q.id, turn = floorf(l.x / m.period);
      o.n = bumped(o.n, ax, m.amount * sinf(a));
      o.kd = o.kd * (0.8f + 0.2f * cosf(a) + 0.15f * (cellNoise((int)turn, (int)q.id, 1) - 0.5f));
      break;
    }
    case CREPE: o.n = bumped(o.n, ax, m.amount * (noise3(v3(l.x / m.period, l.y * 0.6f, l.z * 0.6f)) - 0.5f));
      o.kd = mix(o.kd, second, clampf(noise3(v3(l.x * 0.8f / m.period, l.y, l.z + q.id)), 0, 1) * 0.35f); break;
    case CORK: { const float n = noise3(l * (1 / m.period)), f = noise3(v3(l.x * 3 / m.period, l.y * 3 / m.period, l.z * 3 / m.period + 7));
      o.kd = mix(o.kd, second, clampf((n - 0.62f) * 6, 0, 1) * m.amount + 0.25f * f); break; }
    case FOAM: o.kd = o.kd * (0.75f + 0.5f * noise3(l * (1 / m.period))); o.n = bumped(o.n, ax, m.amount * (noise3(l * (2 / m.period)) - 0.5f)); break;
    case WOOD: { const float g = noise3(v3(l.x * 0.05f, l.y / m.period, l.z / m.period)), r = 0.5f + 0.5f * sinf(25 * g + 3 * noise3(v3(l.x * 0.4f, l.y, l.z)));
      o.kd = mix(o.kd, second, r * m.amount); break; }
    case SEAT_CARD: {
      if (l.z < 0 || h.n.z < 0.1f) break;
      o.cls = OTHER;
      const int side = l.x < 0 ? 0 : 1, cell = tagCell(s.tagBits, 580 + side, l.x - (side ? 17.f : -17.f), l.y, 18);
      if (cell == 1) o.kd = v3(s.g[G_INK], s.g[G_INK + 1], s.g[G_INK + 2]);
      break;
    }
    case BRUSHED: o.n = bumped(o.n, ax, m.amount * (noise3(v3(l.x / m.period, 0, q.id)) - 0.5f)); break;
    case SKIN_TONE: o.kd = mix(o.kd, second, noise3(p * (1 / m.period)) * m.amount); o.n = bumped(o.n, ax, 0.15f * (noise3(p * 1.3f) - 0.5f)); break;
    case TICKS: { const float f = l.x / m.period - floorf(l.x / m.period); const int big = ((int)floorf(l.x / m.period + 0.01f)) % 5 == 0;
      if (f * m.period < 0.35f && l.y > (big ? 0.f : 0.35f * q.p[1])) o.kd = second; break; }
    case WEAVE: { const int cx = (int)floorf(l.x / m.period), cy = (int)floorf(atan2f(l.z, l.y) * q.p[1] / m.period);
      o.n = bumped(o.n, ax, ((cx + cy) & 1 ? 1 : -1) * m.amount); o.kd = (cx + cy) & 1 ? o.kd : second; break; }
    default: break;
  }
}
