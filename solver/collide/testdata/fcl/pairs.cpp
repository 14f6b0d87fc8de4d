// Asks the Flexible Collision Library, an independent implementation, which
// flat pieces meet. Reads a scene from standard input:
//
//   bodies N, then per body: corners V triangles T, V lines "x y z" in the
//   body's frame, T lines "i j k";
//   apart K, then K lines "i j" of pairs that are not looked at;
//   poses M, then per pose N lines "r00 r01 r02 r10 .. r22 tx ty tz".
//
// "pairs verdict" writes for every pose and every pair that is looked at
//   pose i j meets distance
// where distance is 0 for pieces that meet. "pairs time ROUNDS" sweeps the poses
// with a broad phase, ROUNDS times, and writes the nanoseconds of the fastest
// round and the number of meetings.
#include <fcl/fcl.h>

#include <chrono>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <iostream>
#include <memory>
#include <set>
#include <utility>
#include <vector>

using Model = fcl::BVHModel<fcl::OBBRSSd>;
using Object = fcl::CollisionObjectd;

struct Scene {
  std::vector<std::shared_ptr<Model>> models;
  std::vector<std::unique_ptr<Object>> objects;
  std::set<std::pair<int, int>> apart;
  std::vector<std::vector<fcl::Transform3d>> poses;
};

static void expect(const char* word) {
  std::string got;
  if (!(std::cin >> got) || got != word) {
    std::fprintf(stderr, "expected %s, got %s\n", word, got.c_str());
    std::exit(2);
  }
}

static Scene read() {
  Scene s;
  int bodies;
  expect("bodies");
  std::cin >> bodies;
  for (int b = 0; b < bodies; b++) {
    int corners, triangles;
    expect("corners");
    std::cin >> corners;
    expect("triangles");
    std::cin >> triangles;
    std::vector<fcl::Vector3d> points(corners);
    for (auto& p : points) std::cin >> p[0] >> p[1] >> p[2];
    std::vector<fcl::Triangle> faces;
    for (int t = 0; t < triangles; t++) {
      size_t i, j, k;
      std::cin >> i >> j >> k;
      faces.emplace_back(i, j, k);
    }
    auto model = std::make_shared<Model>();
    model->beginModel(triangles, corners);
    model->addSubModel(points, faces);
    model->endModel();
    s.models.push_back(model);
    s.objects.push_back(std::make_unique<Object>(model));
    s.objects.back()->setUserData(reinterpret_cast<void*>(static_cast<intptr_t>(b)));
  }
  int apart;
  expect("apart");
  std::cin >> apart;
  for (int k = 0; k < apart; k++) {
    int i, j;
    std::cin >> i >> j;
    s.apart.insert(std::minmax(i, j));
  }
  int poses;
  expect("poses");
  std::cin >> poses;
  for (int m = 0; m < poses; m++) {
    std::vector<fcl::Transform3d> pose(bodies);
    for (auto& x : pose) {
      x.setIdentity();
      for (int r = 0; r < 3; r++)
        for (int c = 0; c < 3; c++) std::cin >> x.linear()(r, c);
      for (int r = 0; r < 3; r++) std::cin >> x.translation()[r];
    }
    s.poses.push_back(std::move(pose));
  }
  if (!std::cin) {
    std::fprintf(stderr, "the scene ends early\n");
    std::exit(2);
  }
  return s;
}

static void place(Scene& s, const std::vector<fcl::Transform3d>& pose) {
  for (size_t b = 0; b < s.objects.size(); b++) {
    s.objects[b]->setTransform(pose[b]);
    s.objects[b]->computeAABB();
  }
}

static void verdict(Scene& s) {
  for (size_t m = 0; m < s.poses.size(); m++) {
    place(s, s.poses[m]);
    for (int j = 0; j < static_cast<int>(s.objects.size()); j++) {
      for (int i = 0; i < j; i++) {
        if (s.apart.count({i, j})) continue;
        fcl::CollisionRequestd ask;
        fcl::CollisionResultd told;
        bool meets = fcl::collide(s.objects[i].get(), s.objects[j].get(), ask, told) > 0;
        double distance = 0;
        if (!meets) {
          fcl::DistanceRequestd askDistance;
          fcl::DistanceResultd toldDistance;
          distance = fcl::distance(s.objects[i].get(), s.objects[j].get(), askDistance, toldDistance);
        }
        std::printf("%zu %d %d %d %.17g\n", m, i, j, meets ? 1 : 0, distance);
      }
    }
  }
}

struct Round {
  Scene* scene;
  long meetings = 0;
  fcl::CollisionRequestd ask;
};

static bool visit(Object* a, Object* b, void* data) {
  auto* round = static_cast<Round*>(data);
  int i = static_cast<int>(reinterpret_cast<intptr_t>(a->getUserData()));
  int j = static_cast<int>(reinterpret_cast<intptr_t>(b->getUserData()));
  if (round->scene->apart.count(std::minmax(i, j))) return false;
  fcl::CollisionResultd told;
  if (fcl::collide(a, b, round->ask, told) > 0) round->meetings++;
  return false;
}

static void time(Scene& s, int rounds) {
  fcl::DynamicAABBTreeCollisionManagerd manager;
  place(s, s.poses[0]);
  for (auto& o : s.objects) manager.registerObject(o.get());
  manager.setup();
  double best = 1e300;
  long meetings = 0;
  for (int k = 0; k < rounds; k++) {
    auto start = std::chrono::steady_clock::now();
    Round round;
    round.scene = &s;
    for (auto& pose : s.poses) {
      place(s, pose);
      manager.update();
      manager.collide(&round, visit);
    }
    std::chrono::duration<double, std::nano> took = std::chrono::steady_clock::now() - start;
    best = std::min(best, took.count());
    meetings = round.meetings;
  }
  std::printf("%.0f %ld\n", best, meetings);
}

int main(int argc, char** argv) {
  Scene s = read();
  if (argc == 2 && !std::strcmp(argv[1], "verdict")) {
    verdict(s);
  } else if (argc == 3 && !std::strcmp(argv[1], "time")) {
    time(s, std::atoi(argv[2]));
  } else {
    std::fprintf(stderr, "usage: pairs verdict | pairs time ROUNDS\n");
    return 2;
  }
}
