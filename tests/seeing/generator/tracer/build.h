// From packed arrays to a scene: bounding volumes (median split), panorama tables, and, on a GPU, the copy to the device.
#pragma once

struct BuiltScene { Scene view; std::vector<void*> owned; };

static void boundsOf(const Primitive& q, float* lo, float* hi) {
  // exact enough: the bounding sphere, tightened to the local box where that is smaller
  for (int k = 0; k < 3; k++) { lo[k] = q.centre[k] - q.reach; hi[k] = q.centre[k] + q.reach; }
  float b[6] = {0, 0, 0, 0, 0, 0};
  const float r = std::max(q.p[1], q.p[2]);
  switch ((int)q.type) {
    case CONE: case BLANK: b[0] = 0; b[1] = q.p[0]; b[2] = b[4] = -r; b[3] = b[5] = r; break;
    case ROUND_CONE: b[0] = -q.p[1]; b[1] = q.p[0] + q.p[2]; b[2] = b[4] = -r; b[3] = b[5] = r; break;
    case BOX: for (int k = 0; k < 3; k++) { b[2 * k] = -q.p[k]; b[2 * k + 1] = q.p[k]; } break;
    default: b[0] = -q.p[2]; b[1] = q.p[2]; b[2] = b[4] = -(q.p[0] + q.p[1]); b[3] = b[5] = q.p[0] + q.p[1];
  }
  // invert the affine map
  const float* m = q.m;
  const double a = m[0], bb = m[1], c = m[2], d = m[4], e = m[5], f = m[6], g = m[8], h = m[9], i = m[10];
  const double det = a * (e * i - f * h) - bb * (d * i - f * g) + c * (d * h - e * g);
  const double n[9] = {(e * i - f * h) / det, (c * h - bb * i) / det, (bb * f - c * e) / det, (f * g - d * i) / det, (a * i - c * g) / det, (c * d - a * f) / det,
                       (d * h - e * g) / det, (bb * g - a * h) / det, (a * e - bb * d) / det};
  float l2[3] = {1e30f, 1e30f, 1e30f}, h2[3] = {-1e30f, -1e30f, -1e30f};
  for (int k = 0; k < 8; k++) {
    const double x = b[k & 1] - m[3], y = b[2 + (k >> 1 & 1)] - m[7], z = b[4 + (k >> 2)] - m[11];
    for (int t = 0; t < 3; t++) { const float w = (float)(n[3 * t] * x + n[3 * t + 1] * y + n[3 * t + 2] * z); l2[t] = std::min(l2[t], w); h2[t] = std::max(h2[t], w); }
  }
  for (int t = 0; t < 3; t++) { lo[t] = std::max(lo[t], l2[t]) - 0.02f; hi[t] = std::min(hi[t], h2[t]) + 0.02f; }
}

static void buildNodes(const Primitive* prims, int n, std::vector<Node>& nodes, std::vector<int>& order) {
  std::vector<float> lo(3 * n), hi(3 * n);
  order.resize(n);
  for (int i = 0; i < n; i++) { boundsOf(prims[i], &lo[3 * i], &hi[3 * i]); order[i] = i; }
  struct Task { int node, first, count; };
  std::vector<Task> tasks;
  if (n) { nodes.push_back(Node()); tasks.push_back({0, 0, n}); }
  while (!tasks.empty()) {
    const Task t = tasks.back(); tasks.pop_back();
    Node b; for (int k = 0; k < 3; k++) { b.lo[k] = 1e30f; b.hi[k] = -1e30f; }
    for (int i = t.first; i < t.first + t.count; i++) for (int k = 0; k < 3; k++) { b.lo[k] = std::min(b.lo[k], lo[3 * order[i] + k]); b.hi[k] = std::max(b.hi[k], hi[3 * order[i] + k]); }
    b.first = t.first; b.count = t.count;
    if (t.count > 2) {
      int axis = 0; for (int k = 1; k < 3; k++) if (b.hi[k] - b.lo[k] > b.hi[axis] - b.lo[axis]) axis = k;
      const int half = t.count / 2;
      std::nth_element(order.begin() + t.first, order.begin() + t.first + half, order.begin() + t.first + t.count,
                       [&](int p, int q) { return lo[3 * p + axis] + hi[3 * p + axis] < lo[3 * q + axis] + hi[3 * q + axis]; });
      const int child = (int)nodes.size();
      nodes.push_back(Node()); nodes.push_back(Node());
      tasks.push_back({child, t.first, half}); tasks.push_back({child + 1, t.first + half, t.count - half});
      b.first = child; b.count = 0;
    }
    nodes[t.node] = b;
  }
}

template <class T> static const T* keep(BuiltScene* b, const T* from, size_t n) {
  if (!n || !from) return nullptr;
  void* p = nullptr;
#ifdef __CUDACC__
  if (cudaMalloc(&p, n * sizeof(T)) || cudaMemcpy(p, from, n * sizeof(T), cudaMemcpyHostToDevice)) { fprintf(stderr, "trace: no room on the GPU for %zu bytes\n", n * sizeof(T)); exit(1); }
#else
  p = malloc(n * sizeof(T)); memcpy(p, from, n * sizeof(T));
#endif
  b->owned.push_back(p);
  return (const T*)p;
}

extern "C" void* trace_scene(const float* prims, int nPrims, const float* mats, int nMats, const float* lights, int nLights, const float* tiles, int nTiles,
                             const float* env, int envW, int envH, const unsigned char* ground, const unsigned char* groundCls, int gW, int gH,
                             const unsigned char* bench, int bW, int bH, const unsigned char* skin, const unsigned char* skinCls, int sW, int sH,
                             const unsigned char* tagBits, int nTags, const float* globals, const float* places) {
  BuiltScene* b = new BuiltScene();
  Scene& s = b->view;
  std::vector<Node> nodes; std::vector<int> order;
  buildNodes((const Primitive*)prims, nPrims, nodes, order);
  s.prims = keep(b, (const Primitive*)prims, nPrims); s.mats = keep(b, (const Material*)mats, nMats);
  s.lights = keep(b, (const Light*)lights, nLights); s.tiles = keep(b, (const Tile*)tiles, nTiles);
  s.nodes = keep(b, nodes.data(), nodes.size()); s.order = keep(b, order.data(), order.size());
  s.nPrims = nPrims; s.nLights = nLights; s.nTiles = nTiles; s.nNodes = (int)nodes.size();
  s.envW = envW; s.envH = envH;
  std::vector<float> row(envH), col((size_t)envW * envH);
  double total = 0;
  for (int y = 0; y < envH; y++) {
    const double solid = facingUp(s, y) * 2 * 3.14159265358979 / envW * (cos(y * 3.14159265358979 / envH) - cos((y + 1) * 3.14159265358979 / envH));
    double sum = 0;
    for (int x = 0; x < envW; x++) { const float* q = env + ((size_t)y * envW + x) * 3; sum += solid * (0.2126 * q[0] + 0.7152 * q[1] + 0.0722 * q[2]); col[(size_t)y * envW + x] = (float)sum; }
    total += sum; row[y] = (float)total;
  }
  s.env = keep(b, env, (size_t)envW * envH * 3);
  s.envRow = keep(b, row.data(), row.size()); s.envCol = keep(b, col.data(), col.size()); s.envTotal = (float)total;
  s.ground = keep(b, ground, (size_t)gW * gH * 4); s.groundCls = keep(b, groundCls, (size_t)gW * gH); s.gW = gW; s.gH = gH;
  s.gX = places[0]; s.gY = places[1]; s.gStep = places[2];
  s.bench = keep(b, bench, (size_t)bW * bH * 3); s.bW = bW; s.bH = bH; s.bStep = places[3];
  s.skin = keep(b, skin, (size_t)sW * sH * 4); s.skinCls = keep(b, skinCls, (size_t)sW * sH); s.sW = sW; s.sH = sH; s.sStart = places[4]; s.sStep = places[5];
  s.tagBits = keep(b, tagBits, (size_t)nTags * 64);
  memcpy(s.g, globals, sizeof(s.g));
  return b;
}
extern "C" void trace_free(void* handle) {
  BuiltScene* b = (BuiltScene*)handle;
  for (void* p : b->owned) {
#ifdef __CUDACC__
    cudaFree(p);
#else
    free(p);
#endif
  }
  delete b;
}
extern "C" int trace_device(int index) {
#ifdef __CUDACC__
  return cudaSetDevice(index);
#else
  return index * 0;
#endif
}
