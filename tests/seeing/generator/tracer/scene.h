// Plain data of one scene, shared by both builds (nvcc for a GPU, g++ for the CPU). Millimetres; x tip to butt, z up.
#pragma once
#include <cmath>
#include <cstdint>
#ifdef __CUDACC__
#define HD __host__ __device__ __forceinline__
#else
#define HD inline
#endif

struct V3 { float x, y, z; };
HD V3 v3(float x, float y, float z) { V3 r; r.x = x; r.y = y; r.z = z; return r; }
HD V3 operator+(V3 a, V3 b) { return v3(a.x + b.x, a.y + b.y, a.z + b.z); }
HD V3 operator-(V3 a, V3 b) { return v3(a.x - b.x, a.y - b.y, a.z - b.z); }
HD V3 operator*(V3 a, V3 b) { return v3(a.x * b.x, a.y * b.y, a.z * b.z); }
HD V3 operator*(V3 a, float s) { return v3(a.x * s, a.y * s, a.z * s); }
HD float dot(V3 a, V3 b) { return a.x * b.x + a.y * b.y + a.z * b.z; }
HD V3 cross(V3 a, V3 b) { return v3(a.y * b.z - a.z * b.y, a.z * b.x - a.x * b.z, a.x * b.y - a.y * b.x); }
HD float norm(V3 a) { return sqrtf(dot(a, a)); }
HD V3 unit(V3 a) { return a * (1.0f / fmaxf(norm(a), 1e-20f)); }
HD float lum(V3 a) { return 0.2126f * a.x + 0.7152f * a.y + 0.0722f * a.z; }
HD float clampf(float x, float a, float b) { return fminf(fmaxf(x, a), b); }
HD V3 mix(V3 a, V3 b, float t) { return a * (1 - t) + b * t; }

enum PrimitiveType { CONE = 0, ROUND_CONE = 1, BOX = 2, RING = 3, BLANK = 4 };
// 32 floats, as Python packs them.
struct Primitive {
  float type, material, cls, id;
  float m[12];     // world to local: rows (a b c d); for cones it may scale y and z
  float centre[3], reach;  // bounding sphere, world
  float p[8];      // CONE: length, r0, r1. ROUND_CONE: the same. BOX: half sizes. RING: R, half radial, half axial, rounding.
                   // BLANK: length, r0, r1, s0, s1, roll of local y (rad)
  float pad[4];
};
// 16 floats. pattern: see surface.h
struct Material { float kd[3], f0[3], roughness, pattern, period, amount, kd2[3], unused[3]; };
enum LightType { RECTANGLE = 0, DISC = 1 };
struct Light { float type, centre[3], u[3], v[3], radiance[3], pad[3]; };  // u, v half axes; shines along u x v
// A page: centre, yaw (cos, sin), printed scale along and across, page size, first tag's id, bars (0/1), corner curls.
struct Tile { float x, y, z, c, s, su, sv, w, h, number, bars, curl[4], pad; };
struct Node { float lo[3]; int first; float hi[3]; int count; };  // count 0: children first, first + 1

struct Scene {
  const Primitive* prims; const Material* mats; const Light* lights; const Tile* tiles; const Node* nodes; const int* order;
  int nPrims, nLights, nTiles, nNodes;
  const float* env; int envW, envH;            // radiance, latitude-longitude, RGB
  const float* envRow; const float* envCol; float envTotal;  // sampling tables (cumulative) of luminance times solid angle
  const uint8_t* ground; const uint8_t* groundCls; int gW, gH; float gX, gY, gStep;  // paint on the mat: RGBA over pages and bench
  const uint8_t* bench; int bW, bH; float bStep;
  const uint8_t* skin; const uint8_t* skinCls; int sW, sH; float sStart, sStep;  // blank: RGB + roughness over (roll, s)
  const uint8_t* tagBits;                      // 64 cells a tag, 1 = white
  float g[64];                                 // see globals below
};
// globals
enum { G_SUN_DIR = 0, G_SUN_RGB = 3, G_SUN_COS = 6, G_ENV_ROT = 7, G_PAPER = 8, G_INK = 11, G_WAVE = 14 /* 4 x (kx ky phase amplitude) */,
       G_BENCH_ROUGH = 30, G_BENCH_F0, G_PAPER_ROUGH, G_SPIRAL_PERIOD, G_SPIRAL_AMOUNT, G_SKIN_F0, G_DEPTH, G_CLAMP, G_SHADOW, G_BENCH_ROT };

// Pinhole, Brown's k1 k2 p1 p2 k3, a smooth lens field beyond it, and the crop of the upright photo that is drawn.
struct Camera {
  float R[9], C[3];              // world to camera rotation; centre
  float fx, fy, cx, cy, k[5];
  float field[12];               // three cosine waves, each: amplitude px, frequency in x and in y (rad a px), phase
  float lineA[2], lineB[2], band; // draw only within `band` px of this line (0: everything)
  float x0, y0;                  // crop's first pixel in the photo
};

struct Hit { float t; V3 n, local; int prim; };  // prim -1: ground
