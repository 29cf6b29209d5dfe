#include "share/write_file.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <sys/mount.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <unistd.h>

#include <csignal>
#include <fstream>
#include <iterator>

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
