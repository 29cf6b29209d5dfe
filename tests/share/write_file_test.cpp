#include "share/write_file.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <sys/mount.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include <csignal>
#include <fstream>
#include <iterator>
#include <string_view>
#include <vector>

namespace underfoot {
namespace {

namespace fs = std::filesystem;
using testing::HasSubstr;

class WriteFile : public testing::Test {
  protected:
    void SetUp() override {
        std::string name = (fs::temp_directory_path() / "underfoot-write-XXXXXX").string();
        ASSERT_NE(::mkdtemp(name.data()), nullptr);
        folder_ = name;
    }
    void TearDown() override {
        std::error_code trouble;
        fs::permissions(folder_, fs::perms::owner_all, trouble);
        fs::remove_all(folder_, trouble);
    }
    static std::string content(const fs::path& file) {
        std::ifstream in(file, std::ios::binary);
        return {std::istreambuf_iterator<char>(in), {}};
    }
    /// Whether what runs in a process of its own ends with code 0.
    template <class Run>
    static bool inChild(Run run) {
        const pid_t child = ::fork();
        if (child == 0) run();
        int status = 1;
        ::waitpid(child, &status, 0);
        return WIFEXITED(status) && WEXITSTATUS(status) == 0;
    }
    size_t filesInFolder() const {
        return static_cast<size_t>(std::distance(fs::directory_iterator(folder_), {}));
    }

    fs::path folder_;
};

TEST_F(WriteFile, WritesEveryByteAndLeavesNothingElse) {
    const std::string bytes("a\0b\r\n\xFF", 6);
    const auto written = writeFile(folder_ / "out.bin", bytes);
    ASSERT_TRUE(written);
    EXPECT_EQ(written->bytes, 6U);
    EXPECT_EQ(content(folder_ / "out.bin"), bytes);
    EXPECT_EQ(filesInFolder(), 1U);
}

TEST_F(WriteFile, PiecesFollowEachOther) {
    const std::vector<std::string_view> pieces{"one", "", "t\nwo"};
    const auto written = writeFile(folder_ / "out.bin", pieces);
    ASSERT_TRUE(written);
    EXPECT_EQ(written->bytes, 7U);  // 3 + 0 + 4
    EXPECT_EQ(content(folder_ / "out.bin"), "onet\nwo");
}

/// So long that it is written past the cache where that can be: no whole number of blocks, cut at odd places.
class LargeFile : public WriteFile {
  protected:
    LargeFile() : bytes_((size_t{17} << 20) + 4096 + 17, '\0') {
        for (size_t i = 0; i < bytes_.size(); ++i) bytes_[i] = static_cast<char>(i * 2654435761U >> 13);
    }
    std::vector<std::string_view> pieces() const {
        const std::string_view all = bytes_;
        return {all.substr(0, 5), all.substr(5, (size_t{9} << 20) + 1), "",
                all.substr((size_t{9} << 20) + 6)};
    }
    std::string bytes_;
};

TEST_F(LargeFile, IsWhole) {
    const auto written = writeFile(folder_ / "out.bin", pieces());
    ASSERT_TRUE(written);
    EXPECT_EQ(written->bytes, bytes_.size());
    EXPECT_TRUE(content(folder_ / "out.bin") == bytes_);
    EXPECT_EQ(filesInFolder(), 1U);
}

TEST_F(LargeFile, IsWholeWhereTheCacheCannotBePassed) {
    if (::mount("none", folder_.c_str(), "tmpfs", 0, "size=40m") != 0)
        GTEST_SKIP() << "needs the right to mount";
    const auto written = writeFile(folder_ / "out.bin", pieces());
    const bool same = content(folder_ / "out.bin") == bytes_;
    ASSERT_EQ(::umount(folder_.c_str()), 0);
    EXPECT_TRUE(written);
    EXPECT_TRUE(same);
}

TEST_F(LargeFile, StoppedOnTheWayKeepsTheOldFile) {
    std::ofstream(folder_ / "out.bin") << "old";
    rlimit before{};
    ASSERT_EQ(::getrlimit(RLIMIT_FSIZE, &before), 0);
    const auto handler = std::signal(SIGXFSZ, SIG_IGN);
    const rlimit small{10'000'001, before.rlim_max};
    ASSERT_EQ(::setrlimit(RLIMIT_FSIZE, &small), 0);
    const auto written = writeFile(folder_ / "out.bin", pieces());
    ASSERT_EQ(::setrlimit(RLIMIT_FSIZE, &before), 0);
    std::signal(SIGXFSZ, handler);
    ASSERT_FALSE(written);
    EXPECT_THAT(written.error().remedy, HasSubstr("limit"));
    EXPECT_EQ(content(folder_ / "out.bin"), "old");
    EXPECT_EQ(filesInFolder(), 1U);
}

TEST_F(WriteFile, ReplacesAnOlderFileAndKeepsItsPermissions) {
    std::ofstream(folder_ / "out.txt") << "a longer, older text";
    fs::permissions(folder_ / "out.txt", fs::perms::owner_read | fs::perms::owner_write);
    ASSERT_TRUE(writeFile(folder_ / "out.txt", "new"));
    EXPECT_EQ(content(folder_ / "out.txt"), "new");
    EXPECT_EQ(fs::status(folder_ / "out.txt").permissions(), fs::perms::owner_read | fs::perms::owner_write);
    EXPECT_EQ(filesInFolder(), 1U);
}

TEST_F(WriteFile, NewFileFollowsTheUsersMask) {
    const mode_t old = ::umask(022);
    ASSERT_TRUE(writeFile(folder_ / "out.txt", "x"));
    ::umask(old);
    EXPECT_EQ(static_cast<unsigned>(fs::status(folder_ / "out.txt").permissions()), 0644U);
}

TEST_F(WriteFile, FollowsASymbolicLink) {
    std::ofstream(folder_ / "real.txt") << "old";
    fs::create_symlink("real.txt", folder_ / "link.txt");
    ASSERT_TRUE(writeFile(folder_ / "link.txt", "new"));
    EXPECT_TRUE(fs::is_symlink(folder_ / "link.txt"));
    EXPECT_EQ(content(folder_ / "real.txt"), "new");
}

TEST_F(WriteFile, MissingFolderIsASentence) {
    const auto written = writeFile(folder_ / "nowhere" / "out.txt", "x");
    ASSERT_FALSE(written);
    EXPECT_THAT(written.error().what, HasSubstr("nowhere/out.txt"));
    EXPECT_THAT(written.error().remedy, HasSubstr("folder"));
    EXPECT_EQ(filesInFolder(), 0U);
}

TEST_F(WriteFile, FolderAsTargetIsRefused) {
    const auto written = writeFile(folder_, "x");
    ASSERT_FALSE(written);
    EXPECT_THAT(written.error().remedy, HasSubstr("file name"));
    EXPECT_FALSE(writeFile(folder_ / "", "x"));
    EXPECT_EQ(filesInFolder(), 0U);
}

TEST_F(WriteFile, FileInThePlaceOfAFolderIsRefused) {
    std::ofstream(folder_ / "plain") << "x";
    const auto written = writeFile(folder_ / "plain" / "out.txt", "y");
    ASSERT_FALSE(written);
    EXPECT_EQ(content(folder_ / "plain"), "x");
}

TEST_F(WriteFile, ReadOnlyFolderKeepsTheOldFile) {
    std::ofstream(folder_ / "out.txt") << "old";
    fs::permissions(folder_ / "out.txt", fs::perms::all);
    fs::permissions(folder_, fs::perms(0555));
    // Root may write everywhere: become somebody else for the attempt.
    const bool root = ::geteuid() == 0;
    if (root) {
        ASSERT_EQ(::seteuid(65534), 0);
    }
    const auto written = writeFile(folder_ / "out.txt", "new");
    const auto fresh = writeFile(folder_ / "other.txt", "new");
    if (root) {
        ASSERT_EQ(::seteuid(0), 0);
    }
    ASSERT_FALSE(fresh);
    ASSERT_FALSE(written);
    EXPECT_THAT(written.error().remedy, HasSubstr("may write"));
    EXPECT_EQ(content(folder_ / "out.txt"), "old");
}

TEST_F(WriteFile, ReadOnlyFileStaysAsItIs) {
    std::ofstream(folder_ / "out.txt") << "old";
    fs::permissions(folder_ / "out.txt", fs::perms(0444));
    // The folder would allow replacing it. Root may write everywhere: somebody else makes the attempt.
    fs::permissions(folder_, fs::perms(0777));
    const bool written = inChild([&] {
        if (::geteuid() == 0 && ::setuid(65534) != 0) ::_exit(3);
        const auto answer = writeFile(folder_ / "out.txt", "new");
        ::_exit(answer || answer.error().remedy.find("may write") == std::string::npos ? 1 : 0);
    });
    EXPECT_TRUE(written) << "it was written, or refused without a word on what to do";
    EXPECT_EQ(content(folder_ / "out.txt"), "old");
    EXPECT_EQ(filesInFolder(), 1U);
}

// Killed at many moments: the file is the old one or the new one, whole, and the next run writes as ever.
TEST_F(WriteFile, KilledWhileWritingLeavesTheOldFileOrTheNew) {
    const std::string old(300'000, 'o'), fresh(3'000'000, 'n');
    const fs::path file = folder_ / "out.bin";
    int seenOld = 0, seenNew = 0;
    for (int moment = 0; moment < 24; ++moment) {
        ASSERT_TRUE(writeFile(file, old));
        const pid_t child = ::fork();
        ASSERT_GE(child, 0);
        if (child == 0) {
            (void)writeFile(file, fresh);
            ::_exit(0);
        }
        ::usleep(static_cast<useconds_t>(moment * moment * 80));  // up to 42 ms
        ::kill(child, SIGKILL);
        ASSERT_EQ(::waitpid(child, nullptr, 0), child);
        const std::string found = content(file);
        ASSERT_TRUE(found == old || found == fresh) << "half written: " << found.size() << " bytes";
        ++(found == old ? seenOld : seenNew);
    }
    EXPECT_GT(seenOld, 0) << "no child was killed in time";
    EXPECT_TRUE(writeFile(file, fresh));
    EXPECT_EQ(content(file), fresh);
    // What a killed run leaves is hidden, named after the file, and in nobody's way.
    for (const auto& entry : fs::directory_iterator(folder_)) {
        const std::string name = entry.path().filename();
        EXPECT_TRUE(name == "out.bin" || (name.starts_with(".out.bin.") && name.ends_with(".part"))) << name;
    }
}

// Numbers of processes come round again: leftovers by the very names a new run would choose.
TEST_F(WriteFile, LeftoversOfAKilledRunWithTheSameNumberDoNotMatter) {
    for (int attempt = 0; attempt < 5; ++attempt)
        std::ofstream(folder_ /
                      (".out.txt." + std::to_string(::getpid()) + "-" + std::to_string(attempt) + ".part"))
            << "left over";
    ASSERT_TRUE(writeFile(folder_ / "out.txt", "new"));
    EXPECT_EQ(content(folder_ / "out.txt"), "new");
}

// A disk that fills up in the middle: nothing half written, nothing left over, the old file untouched.
TEST_F(WriteFile, FullDiskKeepsTheOldFile) {
    if (::mount("none", folder_.c_str(), "tmpfs", 0, "size=64k") != 0)
        GTEST_SKIP() << "needs the right to mount";
    std::ofstream(folder_ / "out.txt") << "old";
    const auto written = writeFile(folder_ / "out.txt", std::string(200'000, 'x'));
    const std::string after = content(folder_ / "out.txt");
    const size_t files = filesInFolder();
    ASSERT_EQ(::umount(folder_.c_str()), 0);
    ASSERT_FALSE(written);
    EXPECT_THAT(written.error().remedy, HasSubstr("disk is full"));
    EXPECT_EQ(after, "old");
    EXPECT_EQ(files, 1U);
}

TEST_F(WriteFile, LimitOnFileSizeKeepsTheOldFile) {
    std::ofstream(folder_ / "out.txt") << "old";
    rlimit before{};
    ASSERT_EQ(::getrlimit(RLIMIT_FSIZE, &before), 0);
    const auto handler = std::signal(SIGXFSZ, SIG_IGN);
    const rlimit small{1000, before.rlim_max};
    ASSERT_EQ(::setrlimit(RLIMIT_FSIZE, &small), 0);
    const auto written = writeFile(folder_ / "out.txt", std::string(5000, 'x'));
    ASSERT_EQ(::setrlimit(RLIMIT_FSIZE, &before), 0);
    std::signal(SIGXFSZ, handler);
    ASSERT_FALSE(written);
    EXPECT_THAT(written.error().remedy, HasSubstr("limit"));
    EXPECT_EQ(content(folder_ / "out.txt"), "old");
    EXPECT_EQ(filesInFolder(), 1U);
}

TEST_F(WriteFile, DeviceIsWrittenToAndItsFaultReported) {
    EXPECT_TRUE(writeFile("/dev/null", "x"));
    const auto written = writeFile("/dev/full", "x");
    ASSERT_FALSE(written);
    EXPECT_THAT(written.error().remedy, HasSubstr("full"));
    EXPECT_TRUE(fs::is_character_file("/dev/full"));
}

}  // namespace
}  // namespace underfoot
