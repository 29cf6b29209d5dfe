// Real windows, on a display of their own.

#include "window/window.h"

#include <sys/types.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cmath>
#include <csignal>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <string>

#include <gtest/gtest.h>

#include "view/picture.h"

namespace underfoot {
namespace {

namespace fs = std::filesystem;

/// A display without a screen, gone with the object.
class Display {
  public:
    Display() {
        int ends[2];
        if (pipe(ends) != 0) return;
        child_ = fork();
        if (child_ == 0) {
            close(ends[0]);
            const std::string number = std::to_string(ends[1]);
            execlp("Xvfb", "Xvfb", "-displayfd", number.c_str(), "-screen", "0", "2700x1700x24", "-nolisten",
                   "tcp", static_cast<char*>(nullptr));
            _exit(127);
        }
        close(ends[1]);
        char text[16] = {};
        ssize_t got = 0;
        while (got < 15) {
            const ssize_t more = read(ends[0], text + got, 15 - static_cast<size_t>(got));
            if (more <= 0) break;
            got += more;
            if (text[got - 1] == '\n') break;
        }
        close(ends[0]);
        const std::string number = std::string(text).substr(0, std::string(text).find('\n'));
        if (number.empty()) return;
        good_ = true;
        setenv("DISPLAY", (":" + number).c_str(), 1);
    }
    ~Display() {
        if (child_ <= 0) return;
        kill(child_, SIGTERM);
        int status = 0;
        waitpid(child_, &status, 0);
    }
    Display(const Display&) = delete;
    Display& operator=(const Display&) = delete;
    bool good() const { return good_; }

  private:
    pid_t child_ = -1;
    bool good_ = false;
};

Result<Image> picture(const fs::path& file) {
    std::ifstream in(file, std::ios::binary);
    return decodePng(std::string(std::istreambuf_iterator<char>(in), {}));
}

/// How many of the picture's pixels are not the paper's colour, in parts of all.
double inked(const Image& image, Theme theme) {
    const glm::dvec3 paper = themeColours(theme).paper * 255.0;
    size_t other = 0;
    for (int y = 0; y < image.height; ++y)
        for (int x = 0; x < image.width; ++x) {
            const uint8_t* p = image.at(x, y);
            const double off = std::abs(p[0] - paper.x) + std::abs(p[1] - paper.y) + std::abs(p[2] - paper.z);
            other += off > 12 ? 1 : 0;
        }
    return static_cast<double>(other) / (static_cast<double>(image.width) * image.height);
}

class WindowTest : public testing::Test {
  protected:
    void SetUp() override {
        if (!display_.good()) GTEST_SKIP() << "Xvfb is not installed";
        folder_ = fs::temp_directory_path() / ("underfoot-window-" + std::to_string(getpid()));
        fs::create_directories(folder_);
    }
    void TearDown() override {
        if (!folder_.empty()) fs::remove_all(folder_);
    }
    static fs::path scene(const char* name) { return fs::path(UNDERFOOT_SOURCE_DIR) / "scenes" / name; }

    Display display_;
    fs::path folder_;
};

TEST_F(WindowTest, OpensTheCourtyardAndWritesWhatItShows) {
    WindowOptions options;
    options.screenshotFile = folder_ / "courtyard.png";
    EXPECT_EQ(openWindow(scene("courtyard.toml"), options), static_cast<int>(WindowExit::Fine));
    const Result<Image> image = picture(options.screenshotFile);
    ASSERT_TRUE(image) << image.error().what;
    EXPECT_EQ(image->width, 1280);
    EXPECT_EQ(image->height, 800);
    EXPECT_GT(inked(*image, Theme::Light), 0.15);
    EXPECT_LT(inked(*image, Theme::Light), 0.85);
}

TEST_F(WindowTest, AtTwiceTheScaleInTheDark) {
    WindowOptions options;
    options.scale = 2;
    options.theme = Theme::Dark;
    options.thicknessLayer = "sand";
    options.finding = 0;
    options.screenshotFile = folder_ / "dark.png";
    EXPECT_EQ(openWindow(scene("courtyard.toml"), options), static_cast<int>(WindowExit::Fine));
    const Result<Image> image = picture(options.screenshotFile);
    ASSERT_TRUE(image) << image.error().what;
    EXPECT_EQ(image->width, 2560);
    EXPECT_GT(inked(*image, Theme::Dark), 0.15);
}

TEST_F(WindowTest, AFaultyPlanIsShownAsASheetAndTold) {
    const fs::path plan = folder_ / "faulty.toml";
    std::ofstream(plan) << "title = \"Faulty\"\nunit = \"cubit\"\n";
    WindowOptions options;
    options.screenshotFile = folder_ / "faulty.png";
    EXPECT_EQ(openWindow(plan, options), static_cast<int>(WindowExit::PlanWrong));
    ASSERT_TRUE(picture(options.screenshotFile));
}

TEST_F(WindowTest, AFolderThatIsNotThereCannotBeWrittenTo) {
    WindowOptions options;
    options.screenshotFile = folder_ / "missing" / "courtyard.png";
    testing::internal::CaptureStderr();
    EXPECT_EQ(openWindow(scene("first-plan.toml"), options), static_cast<int>(WindowExit::CannotWrite));
    EXPECT_NE(testing::internal::GetCapturedStderr().find("missing"), std::string::npos);
}

TEST(Window, WithoutADisplaySaysSo) {
    const char* before = std::getenv("DISPLAY");
    const std::string kept = before == nullptr ? "" : before;
    setenv("DISPLAY", ":987654", 1);
    unsetenv("WAYLAND_DISPLAY");
    testing::internal::CaptureStderr();
    EXPECT_EQ(openWindow("any.toml"), static_cast<int>(WindowExit::NoGraphics));
    EXPECT_NE(testing::internal::GetCapturedStderr().find("display"), std::string::npos);
    if (before != nullptr) setenv("DISPLAY", kept.c_str(), 1);
}

}  // namespace
}  // namespace underfoot
