// SPDX-License-Identifier: MIT
// The same bits for any number of threads, as far as numbers leave the library.
#include <ohmroot/core/error.hpp>
#include <ohmroot/core/parallel.hpp>
#include <ohmroot/report/json.hpp>
#include <ohmroot/study/assess.hpp>
#include <ohmroot/study/site_file.hpp>
#include <ohmroot/text/json.hpp>
#include <ohmroot/text/toml.hpp>

#include <catch2/catch.hpp>

#include <atomic>
#include <mutex>
#include <set>
#include <string>
#include <support/sample_site.hpp>
#include <thread>

using namespace ohmroot;

namespace {

std::string study_with(std::size_t thread_count) {
  const ThreadCount threads(thread_count);
  Diagnostics found("site.toml");
  const auto document = text::read_toml(test::sample_site, found);
  REQUIRE(document);
  auto site = study::read_site(
      *document, text::Dialect::typed_by_people, {},
      [](const std::string&) {
        return std::optional<std::string>("a (m),R (ohm)\n0.5,38\n1,15.1\n2,6.2\n4,2.4\n8,0.9\n16,0.42\n");
      },
      found);
  REQUIRE(site);
  return text::write_json(report::study_document(study::assess(std::move(*site))));
}

}  // namespace

TEST_CASE("as many threads work as were asked for", "[threads]") {
  const ThreadCount threads(3);
  std::mutex guard;
  std::set<std::thread::id> seen;
  std::atomic<int> waiting{0};
  for_each_index(3, [&](std::size_t) {
    ++waiting;
    while (waiting < 3)  // each index waits for the others: with fewer threads this would not end
      std::this_thread::yield();
    const std::scoped_lock lock(guard);
    seen.insert(std::this_thread::get_id());
  });
  CHECK(seen.size() == 3);
  CHECK_THROWS_AS(ThreadCount(0), DomainError);
}

TEST_CASE("a study of readings has the same bits on one, two and five threads", "[threads]") {
  const std::string one = study_with(1);
  CHECK(one == study_with(2));
  CHECK(one == study_with(5));
}
