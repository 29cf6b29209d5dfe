#pragma once
// The rows of the table. A benchmark is called "row/size/who"; all of one row and size run in turn in one
// process, so that the ratio of any two of them is of the same minute on the same machine.

#include <benchmark/benchmark.h>

#include <ctime>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <utility>

#include "bench/big_plan.h"
#include "bench/peers.h"
#include "model/model.h"

namespace underfoot::bench {

void addGroundRows();
void addSectionRows();
void addStudyRows();
void addSolidRows();
void addGlbRows();
void addSceneRows();

/// Made when it is first asked for: only the rows that run pay for what they work on.
template <class T>
class Lazy {
  public:
    explicit Lazy(std::function<T()> make) : make_(std::move(make)) {}
    T& get() {
        if (!made_) {
            const std::clock_t begin = std::clock();
            made_.emplace(make_());
            setUpMs_ = 1e3 * static_cast<double>(std::clock() - begin) / CLOCKS_PER_SEC;
        }
        return *made_;
    }
    /// CPU time that making it took.
    double setUpMs() const { return setUpMs_; }

  private:
    std::function<T()> make_;
    std::optional<T> made_;
    double setUpMs_ = 0;
};
template <class T>
using Kept = std::shared_ptr<Lazy<T>>;
template <class Make>
auto kept(Make make) {
    using T = decltype(make());
    return std::make_shared<Lazy<T>>(std::function<T()>(std::move(make)));
}

/// Registers "row/size/who". Long ones do their work once in each repetition.
enum class Runs { Many, Once };
template <class Work>
void add(const std::string& row, const std::string& size, const std::string& who, Work work,
         Runs runs = Runs::Many) {
    auto* made = benchmark::RegisterBenchmark((row + "/" + size + "/" + who).c_str(), std::move(work));
    made->Unit(benchmark::kMillisecond)->MeasureProcessCPUTime();  // of all threads
    if (runs == Runs::Once) made->Iterations(1);
}

/// A peer that is made from something kept, and how long making it took.
template <class T>
void tellSetUp(benchmark::State& state, const Kept<T>& peer) {
    state.counters["setup_ms"] = peer->setUpMs();
}

Model modelOf(const Plan& plan);
/// Closed meshes of all layers that are built, native soil left out.
std::vector<peers::Mesh> layerMeshes(const Model& model);
/// "10k" for 10000.
std::string shortNumber(int number);

}  // namespace underfoot::bench
