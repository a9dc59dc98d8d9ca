#pragma once
#include <QMap>
#include <QWidget>
#include "core/session/configuration.h"

namespace ui {

class CommitEdit;
class FormGrid;

/// A checklist that is filled in as text, its fields under their group headings; two columns where there is room.
class Checklist : public QWidget {
    Q_OBJECT
public:
    Checklist(std::span<const session::TextField> fields, int labelWidth, QWidget* parent = nullptr);
    void setTexts(const session::Texts& texts);
    int filled() const; ///< fields that hold something
    int size() const { return static_cast<int>(m_edits.size()); }

signals:
    void committed(const QString& key, const QString& text); ///< empty: the field was cleared

protected:
    void resizeEvent(QResizeEvent*) override;

private:
    void arrange(int columns);

    QMap<QString, CommitEdit*> m_edits;
    QVector<FormGrid*> m_groups;
    int m_columns = 0;
};

/// `texts` with the field set, or without it where `text` is empty.
session::Texts withText(session::Texts texts, const QString& key, const QString& text);

} // namespace ui
