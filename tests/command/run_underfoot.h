#pragma once
// Running the program as a person would: through the shell, with standard output and error caught apart.

#include <filesystem>
#include <string>
#include <vector>

namespace underfoot::test {

struct Ran {
    int code = -1;  ///< exit code; -1 when the program was ended by a signal
    std::string out;
    std::string err;
};

/// Runs `underfoot` with the arguments as the shell reads them, in `folder` (default: the sources' top).
/// `redirect` is put at the end of the line, for example ">/dev/full"; then `out` is empty. `environment` is
/// what the program's `env` is told, for example "-u DISPLAY".
Ran underfoot(const std::string& arguments, const std::filesystem::path& folder = {},
              const std::string& redirect = "", const std::string& environment = "");

/// A folder of its own that goes away with the object.
class Folder {
  public:
    Folder();
    ~Folder();
    Folder(const Folder&) = delete;
    Folder& operator=(const Folder&) = delete;
    std::filesystem::path operator/(const std::string& name) const { return path_ / name; }
    const std::filesystem::path& path() const { return path_; }
    /// Names of what lies in it, sorted.
    std::vector<std::string> names() const;

  private:
    std::filesystem::path path_;
};

std::string readFile(const std::filesystem::path& file);
void writeText(const std::filesystem::path& file, const std::string& text);
std::filesystem::path source(const std::string& name);  ///< a file of the sources
std::vector<std::string> linesOf(const std::string& text);

}  // namespace underfoot::test
